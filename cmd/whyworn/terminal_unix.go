//go:build unix

package main

import (
	"os"

	"golang.org/x/sys/unix"
)

// terminalColumns is the width of the terminal f writes to, 0 if it is none.
func terminalColumns(f *os.File) int {
	size, err := unix.IoctlGetWinsize(int(f.Fd()), unix.TIOCGWINSZ)
	if err != nil {
		return 0
	}
	return int(size.Col)
}
