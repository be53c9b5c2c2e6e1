package soap

import (
	"fmt"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

func barAsks() []desk.Ask {
	card := []string{"lye 500 g lard 250 g coconut 250 g olive, 2:1 water"}
	return []desk.Ask{{
		Name: "bar", Command: "lye", Keep: true, Kinds: []phrase.Kind{phrase.KindThing}, Lists: []string{"batches"},
		Help:  "what the bar of the last card, or of a batch, will be like",
		Forms: []string{"^what|how will|would * be like", "^what|how will|would * bar|soap feel|foam|lather", "^what bar", "^what kind of bar"},
		Fill:  []string{"what", "how", "will", "would", "the", "bar", "bars", "soap", "be", "like", "feel", "foam", "lather", "kind", "this", "that", "from", "batch", "of"},
		Examples: []desk.Example{
			{Setup: card, Line: "what will the bar be like"},
			{Setup: []string{"poured 1200 g lard 160 g lye 456 g water"}, Line: "what will the soap of batch 1 be like"},
		},
		Plain: func(req *desk.Request) bool {
			_, _, ok, err := lastCard(req)
			return err == nil && ok || namesBatch(req)
		},
		Do: bar,
	}}
}

// bar says what a soap will be like in use, each sentence with the figures that
// it rests on.
func bar(req *desk.Request) (desk.Reply, error) {
	k, what, reply, err := cardOrBatch(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	r, err := recipeOf(req, k, 1)
	if err != nil {
		return desk.Reply{}, err
	}
	m, known, err := lye.MakeupOf(r.fats)
	if err != nil {
		return desk.Reply{}, err
	}
	if known == 0 {
		return desk.AskBack("The make-up of these fats is not known: there is nothing to say about the bar."), nil
	}
	low, high := lye.Iodine(r.fats)
	out := desk.Answer(fmt.Sprintf("%s: %s.", what, verdictOfUse(m)), inUse(m, k)...)
	out.Lines = append(out.Lines,
		fmt.Sprintf("Fatty acids: lauric %s, myristic %s, palmitic %s, stearic %s, oleic %s, linoleic %s, linolenic %s, ricinoleic %s, others %s; iodine value %.0f to %.0f.",
			whole(m.Lauric), whole(m.Myristic), whole(m.Palmitic), whole(m.Stearic), whole(m.Oleic), whole(m.Linoleic), whole(m.Linolenic), whole(m.Ricinoleic), whole(m.Other), low, high))
	out.Assumed = []string{"typical make-up of each fat; what each acid does is common practice, not a measurement of your bar"}
	if known < 0.999 {
		out.Assumed = append(out.Assumed, fmt.Sprintf("the make-up of %s of the fats is not known and left out", whole(1-known)))
	}
	return out, nil
}

// cardOrBatch is the recipe that a question is about: of the batch that it names,
// or of the last card.
func cardOrBatch(req *desk.Request) (kept, string, desk.Reply, error) {
	if namesBatch(req) {
		b, reply, ok, err := find(req, nil)
		if err != nil || !ok {
			return kept{}, "", reply, err
		}
		k, err := readKept(b.Recipe)
		return k, heading(b), desk.Reply{}, err
	}
	k, _, ok, err := lastCard(req)
	if err != nil || ok {
		return k, "This soap", desk.Reply{}, err
	}
	return kept{}, "", desk.AskBack("Which soap? There is no card of the last day. Ask for one first, or name a batch."), nil
}

// Thresholds are shares of the fatty acids (common practice).
func verdictOfUse(m lye.Makeup) string {
	saturated := m.Hard() + m.Foaming()
	switch {
	case m.Foaming() >= 0.35:
		return "a hard, quickly foaming bar that uses itself up and takes the oil off skin"
	case m.Foaming() < 0.05 && m.Oleic >= 0.6:
		return "a mild bar with little foam that wants a long cure"
	case saturated >= 0.45:
		return "a hard bar for every day"
	case saturated >= 0.3:
		return "a middling firm bar"
	}
	return "a soft bar that wants patience"
}

// inUse are the sentences, the ones a person acts by first.
func inUse(m lye.Makeup, k kept) []string {
	out := []string{setting(m), foam(m), wear(m), keeping(m)}
	if m.Oleic+m.Ricinoleic >= 0.5 {
		out = append(out, fmt.Sprintf("It goes slippery and soft in a wet dish (oleic and ricinoleic acid %s): let it drain and dry between uses.", whole(m.Oleic+m.Ricinoleic)))
	}
	if m.Ricinoleic >= 0.04 {
		out = append(out, fmt.Sprintf("The foam holds (ricinoleic acid %s).", whole(m.Ricinoleic)))
	}
	switch {
	case k.Superfat >= 0.1:
		out = append(out, fmt.Sprintf("Mild and a little soft: %s of the fat stays fat.", whole(k.Superfat)))
	case k.Superfat < 0.03:
		out = append(out, fmt.Sprintf("Rather for cleaning than for skin: only %s of the fat stays fat.", percent(k.Superfat, 1)))
	}
	return out
}

func setting(m lye.Makeup) string {
	s := m.Hard() + m.Foaming()
	switch {
	case s >= 0.45:
		return fmt.Sprintf("Firm enough to unmould in a day or two (saturated acids %s).", whole(s))
	case s >= 0.3:
		return fmt.Sprintf("Leave it in the mould for two or three days (saturated acids %s).", whole(s))
	}
	return fmt.Sprintf("Soft at first: three to seven days in the mould, and a longer cure (saturated acids only %s).", whole(s))
}

func foam(m lye.Makeup) string {
	f := m.Foaming()
	switch {
	case f >= 0.35:
		return fmt.Sprintf("Foams at once, in hard and in cold water too, but dries skin unless 15%% to 20%% of the fat is left over (lauric and myristic acid %s).", whole(f))
	case f >= 0.12:
		return fmt.Sprintf("Foams well (lauric and myristic acid %s).", whole(f))
	case f >= 0.05:
		return fmt.Sprintf("Foams a little (lauric and myristic acid %s).", whole(f))
	}
	return fmt.Sprintf("Hardly foams, more of a lotion in the hand (lauric and myristic acid only %s).", whole(f))
}

func wear(m lye.Makeup) string {
	h := m.Hard()
	switch {
	case h >= 0.3:
		return fmt.Sprintf("Lasts long at the sink (palmitic and stearic acid %s).", whole(h))
	case h >= 0.15:
		return fmt.Sprintf("Lasts as most bars do (palmitic and stearic acid %s).", whole(h))
	}
	return fmt.Sprintf("Is used up fast (palmitic and stearic acid only %s).", whole(h))
}

func keeping(m lye.Makeup) string {
	d := m.Drying()
	switch {
	case d <= 0.12:
		return fmt.Sprintf("Keeps a year and more in the dark (linoleic and linolenic acid %s).", whole(d))
	case d <= 0.22:
		return fmt.Sprintf("Use it within about nine months, kept cool and dark (linoleic and linolenic acid %s).", whole(d))
	}
	return fmt.Sprintf("Turns rancid within months, with orange spots (linoleic and linolenic acid %s): a low superfat, and use it soon.", whole(d))
}

func whole(share float64) string { return fmt.Sprintf("%.0f%%", 100*share) }
