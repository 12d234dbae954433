//go:build unix

package engine_test

import (
	"syscall"
	"testing"
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

// reportProcessor adds the processor time of an iteration beside that by the
// clock; begin is the processor time before the loop.
func reportProcessor(b *testing.B, begin time.Duration) {
	b.ReportMetric(float64(processorTime()-begin)/float64(b.N), "cpu-ns/op")
}
