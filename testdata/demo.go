// Package testdata holds the demo scenario, so that whyworn demo needs nothing
// but the binary: a preserved drainage pumping station and its twin-cylinder
// engine, all invented.
package testdata

import "embed"

// Station is the folder station: machine.toml and inspections.
//
//go:embed station
var Station embed.FS
