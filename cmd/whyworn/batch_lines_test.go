package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
)

// answerInLine finds an answer of a line: a key and its string.
var answerInLine = regexp.MustCompile(`"([a-z0-9_]+)":"([^"{}\\]*)"`)

// variedLine is an inspection like those of [inspectionLine] in which some
// answers are changed: other units and forms, blank and unsure, wrong words and
// wrong kinds, left out or renamed; some lines say more than signs and readings.
// More than half can be read.
func variedLine(r *rand.Rand, number int) string {
	var b bytes.Buffer
	inspectionLine(&b, r, number)
	line := strings.TrimSpace(b.String())
	if r.IntN(3) > 0 {
		for range r.IntN(5) {
			line = changeAnswer(line, r, mildly)
		}
	}
	if r.IntN(4) == 0 {
		line = sayMore(line, r)
	}
	if r.IntN(5) == 0 {
		for range 1 + r.IntN(3) {
			line = changeAnswer(line, r, wildly)
		}
	}
	if r.IntN(60) == 0 {
		line = line[:r.IntN(len(line))]
	}
	return line + "\n"
}

func changeAnswer(line string, r *rand.Rand, change func(key, value string, r *rand.Rand) string) string {
	all := answerInLine.FindAllStringSubmatchIndex(line, -1)
	if len(all) == 0 {
		return line
	}
	at := all[r.IntN(len(all))]
	return line[:at[0]] + change(line[at[2]:at[3]], line[at[4]:at[5]], r) + line[at[1]:]
}

// mildly changes an answer to one that most properties take.
func mildly(key, value string, r *rand.Rand) string {
	text := func(s string) string { return fmt.Sprintf("%q:%q", key, s) }
	number, unit, hasUnit := strings.Cut(value, " ")
	switch k := r.IntN(12); {
	case k == 0:
		return text("")
	case k <= 2:
		return text("?")
	case k == 3:
		return fmt.Sprintf(`%q:{"is":%q,"by":"eye","where":"bottom","sure":"fairly"}`, key, value)
	case k == 4 && strings.Contains(value, "/"):
		return text(value + pick(r, " mm", " mm ", "  ", "\\t"))
	case k == 5 && strings.Contains(value, "/"):
		return text(strings.Replace(value, " ", pick(r, ";14.970 ", "  ", " /", ";14.969;14.971 "), 1+r.IntN(2)))
	case k == 6 && strings.Contains(value, "/"):
		return fmt.Sprintf(`%q:{"is":%q,"temp":%q,"repeats":%d}`, key, value, pick(r, "34 °C", "33 to 37 °C", "20 °C", "307.2 K", "95 °F"), 1+r.IntN(4))
	case k == 7 && strings.Contains(value, "/"):
		return fmt.Sprintf(`%q:{"is":%q,"tool":%q}`, key, value, pick(r, "mic", "bore"))
	case hasUnit && len(unit) < 5:
		return text(pick(r,
			"over "+value, "under "+value, "at least "+value, "at most "+value, number+" to 9999 "+unit, " "+value+" ", number+unit,
			number+".000 "+unit, "+"+value, number+"e0 "+unit, "0 "+unit, number+"5 "+pick(r, "um", "µm", "m", "min", "d", "bar", "psi", "mbar", "in", "thou")))
	}
	return text(pick(r, value, value, "none", "no", "yes", "brown or purple", "at least straw", "at most brown", value+" or none", " "+value))
}

// wildly changes an answer to one that hardly a property takes.
func wildly(key, value string, r *rand.Rand) string {
	switch r.IntN(9) {
	case 0:
		return fmt.Sprintf("%q:%q", key+pick(r, "s", "x", "_2"), value)
	case 1:
		return fmt.Sprintf("%q:%s", key, pick(r, "true", "false", "3", "1.50", "-2", "[]", `["a"]`, "{}", "null", `{"is":true}`, `{"are":"x"}`))
	case 2:
		return fmt.Sprintf("%q:%q,%q:%q", key, value, key, value)
	case 3:
		return fmt.Sprintf("%q:{\"is\":%q,\"photo\":%q,\"temp\":\"20 °C\"}", key, value, pick(r, "a.jpg", "../a.jpg", "/etc/a.jpg"))
	case 4:
		return fmt.Sprintf("%q:{\"is\":%q,\"tool\":%q,\"repeats\":%d}", key, value, pick(r, "mic", "bore", "rule"), r.IntN(3))
	}
	return fmt.Sprintf("%q:%q", key, pick(r, "lots", "12,5 mm", "1 234 h", "14.9", "14.9 14.9 / 14.9", "+3 -2 / +1 -1", "-5 mm", "1e40 h", "5 kg", "5 furlongs", "at least none",
		"2019-02-30", "brown or bleu", "<b>&\\u2028", "µ°é", "1.5.2 mm", "14.92 14.95 / ? 14.97", strings.Repeat("9", 40)+" mm", "3 mm 4", value+"x"))
}

// sayMore adds what stands beside answers.
func sayMore(line string, r *rand.Rand) string {
	more := pick(r,
		`"k":1.65`, `"k":0`, `"by":"somebody"`,
		`"decision":[{"of":"seat_2ex","verdict":"refit","because":"spare"},{"of":"arm_1in","verdict":"replace"}]`,
		`"decision":[{"of":"seat_9","verdict":"refit"}]`,
		`"remark":[{"of":"shaft","text":"a blue haze"}]`,
		`"confirmed":{"causes":["feed.choked"]}`, `"confirmed":{"causes":["feed.chocked","nowhere.at"]}`,
		`"order":[["feed.choked","seat_2ex.overheated"]]`,
		`"earlier":[{"when":"2001-05-04","hours":"12 h","of":"seat_1in","property":"diameter","value":"14.970 14.971 / 14.972 14.970 / 14.971 14.970"}]`,
		`"earlier":[{"when":"2091-05-04","of":"seat_1in","property":"tint","value":"blue"}]`,
		`"part":[{"kind":"rocker_arm","id":"spare","name":"the spare arm"}],"spare":{"crack":"none"}`,
		`"part":[{"kind":"rocker_arm","id":"arm_1in"}]`,
		`"photo":[{"file":"a.jpg","caption":"the seat","of":"seat_1in"}]`,
		`"nowhere":{"tint":"blue"}`, `"seat_1in":{"tint":"blue"}`,
	)
	return strings.TrimSuffix(line, "}") + "," + more + "}"
}

func pick(r *rand.Rand, s ...string) string { return s[r.IntN(len(s))] }
