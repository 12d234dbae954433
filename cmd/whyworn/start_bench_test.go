package main

import (
	"io"
	"testing"

	"whyworn/engine"
	"whyworn/rules/packs"
)

// BenchmarkStart is all that whyworn demo does after the process has started,
// and its parts.
func BenchmarkStart(b *testing.B) {
	b.Run("demo", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if run([]string{"demo"}, nil, io.Discard, io.Discard) != exitDone {
				b.Fatal("the demo does not run")
			}
		}
	})
	b.Run("pack", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if p, _ := packs.Load("rocker_gear"); p == nil {
				b.Fatal("the pack does not load")
			}
		}
	})
	a := &app{out: io.Discard, errs: io.Discard}
	o, err := a.openDemo("engine-2.toml")
	if err != nil {
		b.Fatal(err)
	}
	b.Run("compile", func(b *testing.B) {
		for b.Loop() {
			engine.Compile(o.facts.Layout.Pack)
		}
	})
	b.Run("run", func(b *testing.B) {
		for b.Loop() {
			if _, err := o.run(); err != nil {
				b.Fatal(err)
			}
		}
	})
	c, err := o.run()
	if err != nil {
		b.Fatal(err)
	}
	b.Run("diagnose", func(b *testing.B) {
		for b.Loop() {
			c.Diagnose()
		}
	})
	b.Run("next", func(b *testing.B) {
		for b.Loop() {
			c.Next(nextMost)
		}
	})
}
