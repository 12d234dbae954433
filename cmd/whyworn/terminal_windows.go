package main

import (
	"os"

	"golang.org/x/sys/windows"
)

// terminalColumns is the width of the console f writes to, 0 if it is none.
func terminalColumns(f *os.File) int {
	var info windows.ConsoleScreenBufferInfo
	if windows.GetConsoleScreenBufferInfo(windows.Handle(f.Fd()), &info) != nil {
		return 0
	}
	return int(info.Window.Right-info.Window.Left) + 1
}
