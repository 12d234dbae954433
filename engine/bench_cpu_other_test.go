//go:build !unix

package engine_test

import (
	"testing"
	"time"
)

func processorTime() time.Duration { return 0 }

func reportProcessor(*testing.B, time.Duration) {}
