//go:build unix

package main

import (
	"syscall"
	"time"
)

// processorTime is what this process has used, collector and all: on a machine
// that others share it says more than the clock.
func processorTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
