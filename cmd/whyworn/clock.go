package main

import (
	"os"
	"strconv"
	"time"

	"whyworn/facts"
	"whyworn/facts/source"
)

var aheadCode = source.Declare("date-ahead", "an inspection is dated later than today")

// today is the day by the clock, or by SOURCE_DATE_EPOCH, the convention by
// which a run can be repeated with the same answer.
func today() time.Time {
	if s, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(s, 0).UTC()
	}
	return time.Now()
}

// ahead warns of an inspection that is dated after tomorrow: the world has more
// than one date at a time.
func ahead(in *facts.Inspection, now time.Time) *source.Problem {
	day, err := time.Parse(time.DateOnly, in.Date.Text)
	if err != nil || day.Before(now.AddDate(0, 0, 2)) {
		return nil
	}
	p := &source.Problem{Code: aheadCode, At: in.Date.At, Message: "the date " + in.Date.Text + " has not come yet: today is " + now.Format(time.DateOnly)}
	return p.Warn().Hint("mend the year, or set the clock of this computer")
}
