package tell

import (
	"fmt"

	"whyworn/explain"
)

// WhatIf writes only what would be otherwise, each with what leads to it.
func WhatIf(p *Page, d *explain.Difference) {
	for i, k := range d.Changes {
		label := "If"
		if i > 0 {
			label = "and"
		}
		p.Item(label, 5, fmt.Sprintf("%s: %s (it is: %s)", k.Name, k.After, k.Before))
	}
	if d.Same {
		p.Gap()
		p.Line("Nothing else would be otherwise.")
		return
	}
	turns(p, "what would be found", d.Findings)
	turns(p, "what would be worked out", d.Numbers)
	turns(p, "what would become of it", d.Verdicts)
}

func turns(p *Page, head string, list []explain.Turn) {
	if len(list) == 0 {
		return
	}
	p.Head(head)
	for _, t := range list {
		p.Para("  ", "    ", t.Name)
		held(p, "now", &t.Before)
		held(p, "then", &t.After)
	}
}

func held(p *Page, label string, h *explain.Held) {
	text := h.Answer
	if h.Because != "" {
		text += " - " + h.Because
	}
	p.Item("    "+label, 10, text)
}
