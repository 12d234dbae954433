package main

import (
	"math"
	"os"
	"runtime"
	"runtime/debug"
)

// firstCollection is the memory at which garbage is collected for the first
// time. A short command ends before that: collecting took a quarter of the time
// of whyworn demo.
const firstCollection = 64 << 20

// collectLate puts off the first collection, after which all is as usual. It
// leaves things alone where the person's environment says otherwise.
func collectLate() {
	if os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "" {
		return
	}
	debug.SetGCPercent(-1)
	debug.SetMemoryLimit(firstCollection)
	// The first collection finds this and ends the exception.
	runtime.SetFinalizer(new([16]byte), func(*[16]byte) {
		debug.SetGCPercent(100)
		debug.SetMemoryLimit(math.MaxInt64)
	})
}
