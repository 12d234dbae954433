package draw

import (
	"bytes"
	"os"
	"testing"
)

func TestLook(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip()
	}
	for n, d := range demos() {
		p, err := d.Draw()
		if err != nil {
			t.Fatal(n, err)
		}
		var b bytes.Buffer
		SVG(&b, p)
		os.WriteFile(dir+"/"+n+".svg", b.Bytes(), 0o644)
	}
}
func demos() map[string]interface{ Draw() (*Picture, error) } {
	return map[string]interface{ Draw() (*Picture, error) }{"causemap": demoMap(), "weights": demoWeights(), "section": demoSection(), "limits": demoLimits(), "assembly": demoAssembly()}
}
