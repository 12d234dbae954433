package note

import (
	"os"
	"path/filepath"
	"testing"
)

// One photograph of 12 megapixels, read, shrunk and written.
func BenchmarkPhotograph(b *testing.B) {
	dir := b.TempDir()
	os.WriteFile(filepath.Join(dir, "p.jpg"), jpegOf(b, corners(4000, 3000)), 0o644)
	for b.Loop() {
		if p := takeOne(newAlbum(os.DirFS(dir)), "p.jpg"); p.JPEG == nil {
			b.Fatal(p.Gap)
		}
	}
}
