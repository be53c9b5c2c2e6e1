package soap

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/cure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func outgoAsks() []desk.Ask {
	setup := []string{"poured 1200 g lard 160 g lye 456 g water", "cut batch 1 into 12 bars"}
	return []desk.Ask{{
		Name: "outgo", Command: "gave", Needs: ofBatch, Doubt: true, Text: true, Help: "bars that left the rack: given, sold or used",
		Forms: []string{"^gave|give|sold|used", "^we|i gave|sold|used"}, Kinds: slices.Concat(clocks, []phrase.Kind{phrase.KindThing, phrase.KindNumber}), Lists: []string{"batches"},
		Fill:     []string{"gave", "sold", "used", "bars", "bar", "of", "from", "to", "soap", "batch"},
		Examples: []desk.Example{{Setup: setup, Line: "gave 3 bars of batch 1 to Ruth"}, {Setup: setup, Line: "sold 2 bars of batch 1"}, {Setup: setup, Line: "used a bar of batch 1"}},
		Plain: func(req *desk.Request) bool {
			return req.Mentions("bar", "bars", "soap", "soaps") && namesBatch(req)
		},
		Do: outgo,
	}}
}

// outgo takes bars off the rack.
func outgo(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := find(req, func(storage.Batch) (bool, error) { return false, nil })
	if err != nil || !ok {
		return reply, err
	}
	n, reply, ok := barsGone(req)
	if !ok {
		return reply, nil
	}
	gone, err := req.Tx.Outgoes(b.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if have := b.Bars - sumBars(gone); b.Bars > 0 && n > have {
		return desk.AskBack(fmt.Sprintf("%s has %s left on the rack, not %d. How many were they?", heading(b), desk.Plural(have, "bar"), n)), nil
	}
	o := storage.Outgo{At: req.Now, Bars: n, How: howGone(req), Whom: whomGone(req)}
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.Count > 0 {
		o.At = req.Instant(w.Wall)
	}
	if o.At.After(req.Now) || o.At.Before(b.Poured) {
		return desk.AskBack(fmt.Sprintf("%s was poured %s. When was that?", heading(b), req.Say(b.Poured))), nil
	}
	text := fmt.Sprintf("%s %s of %s", o.How, desk.Plural(n, "bar"), title(b.Num, b.Name))
	if o.Whom != "" {
		text += " to " + o.Whom
	}
	if err := req.Record(storage.Entry{Kind: "outgo", About: subject(b), Happened: o.At, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddOutgo(req.House.ID, b.ID, o); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Quietly(desk.Upper(text) + barsLeft(b, append(gone, o)) + ".")
	_, ready, err := comingSteps(req, b)
	if err != nil {
		return desk.Reply{}, err
	}
	if ready.After(req.Now) {
		out.Quiet = false
		out.Cautions = []string{fmt.Sprintf("Not ready before %s: it may be harsh on skin until then. Tell whoever has it.", req.SayDay(ready))}
	}
	return out, nil
}

func barsGone(req *desk.Request) (int, desk.Reply, bool) {
	ns := req.Reading.Of(phrase.KindNumber)
	switch {
	case len(ns) == 0 && req.Mentions("a", "one", "another"):
		return 1, desk.Reply{}, true
	case len(ns) != 1 || numberOf(ns[0]) < 1 || numberOf(ns[0]) > 2000 || numberOf(ns[0]) != float64(int(numberOf(ns[0]))):
		return 0, desk.AskBack("How many bars? For example: gave 3 bars of batch 1 to Ruth"), false
	}
	return int(numberOf(ns[0])), desk.Reply{}, true
}

func howGone(req *desk.Request) string {
	for _, t := range req.Reading.Tokens {
		switch t.Low {
		case "sold", "used":
			return t.Low
		case "gave", "give", "given":
			return "gave"
		}
	}
	return "gave"
}

// whomGone is the name behind "to".
func whomGone(req *desk.Request) string {
	toks := req.Reading.Tokens
	for i, t := range toks {
		if t.Low != "to" || i+1 == len(toks) || toks[i+1].Kind != phrase.Word {
			continue
		}
		name := toks[i+1].Text
		if p, ok := req.Person(name); ok {
			return p.Name
		}
		return desk.Upper(name)
	}
	return ""
}

func sumBars(gone []storage.Outgo) int {
	n := 0
	for _, o := range gone {
		n += o.Bars
	}
	return n
}

// barsLeft says how many bars a batch has, and how many of them are left.
func barsLeft(b storage.Batch, gone []storage.Outgo) string {
	switch out := sumBars(gone); {
	case b.Bars == 0 && out == 0:
		return ""
	case b.Bars == 0:
		return fmt.Sprintf(", %s gone", desk.Plural(out, "bar"))
	case out == 0:
		return ", " + desk.Plural(b.Bars, "bar")
	default:
		return fmt.Sprintf(", %d of %s left", b.Bars-out, desk.Plural(b.Bars, "bar"))
	}
}

func liquidSoap(b storage.Batch) bool {
	k, err := readKept(b.Recipe)
	return err == nil && !k.bars()
}

// keeps is how long a batch is good, from the pour: by how much of its fatty
// acids turns rancid (common practice).
func (k kept) keeps(req *desk.Request) (time.Duration, error) {
	r, err := recipeOf(req, k, 1)
	if err != nil {
		return 0, err
	}
	m, _, err := makeupOf(r)
	switch d := m.Drying(); {
	case d <= 0.12:
		return 52 * cure.Week, err
	case d <= 0.22:
		return 39 * cure.Week, err
	}
	return 26 * cure.Week, err
}

func sortedNames(m map[string]float64) []string {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int {
		if m[a] != m[b] {
			if m[a] > m[b] {
				return -1
			}
			return 1
		}
		return strings.Compare(a, b)
	})
	return names
}
