//go:build !unix && !windows

package main

import "os"

// terminalColumns knows no way to ask here.
func terminalColumns(*os.File) int { return 0 }
