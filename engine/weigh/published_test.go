package weigh

import (
	"encoding/json"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"
)

// check is one row of testdata/published.toml.
type check struct {
	topic, id                   string
	inputs, expected, tolerance map[string]any
}

// publishedChecks reads the rows. They are of one regular shape, so each inline
// table is turned into JSON and no TOML library is needed here.
func publishedChecks(t *testing.T) []check {
	t.Helper()
	text, err := os.ReadFile("testdata/published.toml")
	if err != nil {
		t.Fatal(err)
	}
	key := regexp.MustCompile(`(\w+) = `)
	var all []check
	for _, block := range strings.Split(string(text), "[[check]]\n")[1:] {
		var c check
		for line := range strings.Lines(block) {
			name, value, ok := strings.Cut(strings.TrimSpace(line), " = ")
			if !ok {
				continue
			}
			var into any
			switch name {
			case "topic":
				into = &c.topic
			case "id":
				into = &c.id
			case "inputs":
				into = &c.inputs
			case "expected":
				into = &c.expected
			case "tolerance":
				into = &c.tolerance
			default:
				continue
			}
			if err := json.Unmarshal([]byte(key.ReplaceAllString(value, `"$1": `)), into); err != nil {
				t.Fatalf("%s %s: %v", c.id, name, err)
			}
		}
		all = append(all, c)
	}
	return all
}

func (c check) has(key string) bool { _, ok := c.inputs[key]; return ok }

func (c check) in(key string) float64 { return c.inputs[key].(float64) }

func (c check) list(key string) []float64 {
	var out []float64
	for _, v := range c.inputs[key].([]any) {
		out = append(out, v.(float64))
	}
	return out
}

// want compares got with the published value under key, within its band.
func (c check) want(t *testing.T, key string, got float64) {
	t.Helper()
	want, ok := c.expected[key].(float64)
	if !ok {
		t.Fatalf("%s has no expected %s", c.id, key)
	}
	if band := c.tolerance[key].(float64); !(math.Abs(got-want) <= band) {
		t.Errorf("%s: %s is %.12g, published %.12g ± %g", c.id, key, got, want, band)
	}
}

func TestPublishedValues(t *testing.T) {
	rows := 0
	noisy := map[[3]bool]check{}
	for _, c := range publishedChecks(t) {
		rows++
		switch c.topic {
		case "bayes":
			c.want(t, "posterior", Posterior(c.in("prior"), Clue(c.in("p_finding_if_true"), c.in("p_finding_if_false"), Seen)))
		case "bayes_odds":
			c.want(t, "posterior", Posterior(c.in("prior"), FromRatio(c.in("LR"))))
		case "bayes_multi":
			checkSeveralFindings(t, c)
		case "deciban":
			checkDeciban(t, c)
		case "noisy_or":
			noisy[[3]bool{c.inputs["cause_1"].(bool), c.inputs["cause_2"].(bool), c.inputs["cause_3"].(bool)}] = c
		default:
			if !strings.HasPrefix(c.topic, "evidence_") {
				t.Fatalf("%s: no check for topic %q", c.id, c.topic)
			}
			checkStrength(t, c)
		}
	}
	checkNoisyOr(t, noisy)
	if rows != 49 {
		t.Errorf("%d published rows read, want 49", rows)
	}
}

func checkSeveralFindings(t *testing.T, c check) {
	sum := func(with, without string) (w Weight) {
		for i, p := range c.list(with) {
			w += Clue(p, c.list(without)[i], Seen)
		}
		return w
	}
	switch {
	case c.has("likelihood_true"):
		w := sum("likelihood_true", "likelihood_false")
		c.want(t, "posterior", Posterior(c.in("prior"), w))
	case c.has("prior_N"):
		w := sum("likelihood_N", "likelihood_B")
		p := Posterior(c.in("prior_N"), w)
		c.want(t, "posterior_N", p)
		c.want(t, "posterior_B", 1-p)
	default:
		// Three rivals that leave no room for none: any common divisor makes
		// ratios of the likelihoods.
		var sums []Weight
		for _, l := range c.list("likelihoods") {
			sums = append(sums, FromRatio(l/0.1))
		}
		p := Rivals(c.list("priors"), sums)
		c.want(t, "post_1", p[0])
		c.want(t, "post_2", p[1])
		c.want(t, "post_3", p[2])
	}
}

func checkDeciban(t *testing.T, c check) {
	if c.has("factor") {
		w := FromRatio(c.in("factor"))
		c.want(t, "decibans", w.Decibans())
		if c.has("prior_odds") {
			o := c.in("prior_odds")
			p := Posterior(o/(1+o), w)
			c.want(t, "posterior_odds", p/(1-p))
		}
		return
	}
	w := FromDecibans(c.in("decibans"))
	if _, ok := c.expected["odds"]; ok {
		c.want(t, "odds", w.Ratio())
	} else {
		c.want(t, "probability", Posterior(0.5, w))
	}
}

// checkStrength takes the published scales for the strength of evidence as
// points of the deciban scale. Their ratios are the geometric middle of a class,
// so their weights have to be the middle of the weights of its bounds.
func checkStrength(t *testing.T, c check) {
	const nat = math.Ln10 / 10 // per deciban
	switch {
	case c.has("B"):
		c.want(t, "two_ln_B", 2*nat*FromRatio(c.in("B")).Decibans())
		return
	case !c.has("LR"): // a named benchmark
		c.want(t, "ln_LR", nat*FromRatio(c.expected["LR"].(float64)).Decibans())
		return
	}
	w, low := FromRatio(c.in("LR")), FromRatio(c.in("band_low"))
	if !c.has("band_high") {
		if w <= low {
			t.Errorf("%s: %v is not above %v", c.id, w, low)
		}
		return
	}
	high := FromRatio(c.in("band_high"))
	// The ratios are printed with six digits.
	if d := w - (low+high)/2; d.Abs() > Deciban/20_000 {
		t.Errorf("%s: %v lies %d units off the middle of %v and %v", c.id, w, d, low, high)
	}
	// Jeffreys' classes are half a ban, five decibans, wide.
	if c.id == "jeff_2" || c.id == "jeff_3" {
		if high-low != 5*Deciban {
			t.Errorf("%s: the class is %d wide, want 5 decibans", c.id, high-low)
		}
	}
}

// checkNoisyOr takes the published table of an effect with three causes. With
// the other causes given, the absence of the effect weighs exactly the
// inhibition of a cause against it, whichever the others are.
func checkNoisyOr(t *testing.T, table map[[3]bool]check) {
	pairs := 0
	for causes, c := range table {
		for i, q := range []string{"q1", "q2", "q3"} {
			if !causes[i] {
				continue
			}
			without := causes
			without[i] = false
			d, ok := table[without]
			if !ok {
				continue
			}
			pairs++
			pWith, pWithout := c.expected["p_effect"].(float64), d.expected["p_effect"].(float64)
			if got, want := Clue(pWith, pWithout, Absent), FromRatio(c.in(q)); (got - want).Abs() > 1 {
				t.Errorf("%s over %s: absence weighs %v, want %v", c.id, d.id, got, want)
			}
			if pWithout > 0 {
				if got, want := Clue(pWith, pWithout, Seen).Ratio(), pWith/pWithout; math.Abs(got-want) > 1e-9*want {
					t.Errorf("%s over %s: presence weighs a factor %v, want %v", c.id, d.id, got, want)
				}
			}
		}
	}
	if pairs < 6 {
		t.Errorf("only %d pairs of rows compared", pairs)
	}
}
