package wording

import (
	"fmt"
	"math"

	"whyworn/explain/check/anew"
)

// word is the published word for a probability, see DESIGN of the scale in
// package weigh: the IPCC guidance note of 2010, its bounds as quoted there.
func word(p float64) string {
	switch {
	case p >= 0.99-anew.Rounding:
		return "virtually certain"
	case p >= 0.90-anew.Rounding:
		return "very likely"
	case p >= 0.66-anew.Rounding:
		return "likely"
	case p <= 0.01+anew.Rounding:
		return "exceptionally unlikely"
	case p <= 0.10+anew.Rounding:
		return "very unlikely"
	case p <= 0.33+anew.Rounding:
		return "unlikely"
	}
	return "about as likely as not"
}

func odds(p float64) string {
	of := 100.0
	switch {
	case p > 0.999:
		return "over 999 in 1000"
	case p < 0.001:
		return "under 1 in 1000"
	case p >= 0.985 || p < 0.015:
		of = 1000
	}
	return fmt.Sprintf("%d in %d", int(math.Round(p*of)), int(of))
}

// decibans is a weight in words: its sign and one decimal, half away from zero.
func decibans(x int64) string {
	tenths := (max(x, -x) + 5e7) / 1e8
	sign := "+"
	switch {
	case tenths == 0:
		return "0.0"
	case x < 0:
		sign = "-"
	}
	return fmt.Sprintf("%s%d.%d", sign, tenths/10, tenths%10)
}
