package measure

// Display is a unit in which a number of this dimension can be shown when no
// property says which: the base unit where it has a usual name, °C for a
// temperature on the scale, nil (the plain number) for anything else.
func Display(d Dim, point bool) *Unit {
	if point {
		return ourUnit("°C")
	}
	for _, symbol := range [...]string{"mm", "N", "N/mm²", "N/mm", "N·mm", "mm²", "mm³", "h", "K", "°", "HRC", "HB", "HV", "rpm", "mm/h", "mm²/s"} {
		if u := ourUnit(symbol); u.Dim == d {
			return u
		}
	}
	return nil
}

func ourUnit(symbol string) *Unit {
	u, err := UnitOf(symbol)
	if err != nil {
		panic(err) // the symbols are ours
	}
	return u
}
