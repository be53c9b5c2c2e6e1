package soap

import (
	"slices"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// troubles are what may be seen on a bar, with what it is and what to do; all common
// practice but where a source is named.
var troubles = []struct {
	words        []string
	head         string
	lines        []string
	assumed, war string
}{
	{
		[]string{"zap", "zaps", "zapped", "stings", "burns", "pockets", "pocket", "crunchy", "weeping", "wet", "liquid", "seeps", "seeping"},
		"Take it for lye-heavy: no skin touches it without gloves, and nobody uses it.",
		[]string{"Clear, wet or crunchy pockets inside are free lye: the batch is not for skin.", "Never test it with the tongue. A drop of phenolphthalein on a fresh cut face hints at lye and proves nothing.", "Throw the batch out, or keep it locked away and gloved until the household decides: scrap batch 1"},
		"common practice", "Splash or itch: running water at once, 15 minutes. All of it: help burn",
	},
	{
		[]string{"powder", "powdery", "ash", "dusty", "bloom"},
		"White powder on top is usually soda ash, a harmless carbonate: plane it off, or wash it off with gloves on.",
		[]string{"White all through in hard specks, or wet beside it, may be lye: do not use it."},
		"common practice", "",
	},
	{
		[]string{"rancid", "spots"},
		"Orange spots and a smell of old fat: it is going rancid. It is not dangerous, but the bar fades: use it soon, and dry.",
		[]string{"Fats with much linoleic acid go first; a lower superfat, fresh fats and air on the rack keep it off."},
		"common practice", "",
	},
	{
		[]string{"soft", "sticky", "tacky", "gooey", "squishy"},
		"Not yet: wait a day and try again with gloves on. Much water or much olive takes 5 to 7 days to be cut.",
		[]string{"Soft after a week, or greasy: too little lye or too much water; weigh what went in against its card: batch 1"},
		"common practice", "",
	},
	{
		[]string{"crumbles", "crumbly", "cracked", "cracks", "brittle"},
		"Crumbly or cracked: cut too late, too hot, or too much lye. Gloves on, and nobody uses it until its card has been checked.",
		[]string{"Check what was weighed: check 1200 g lard 160 g lye 456 g water"},
		"common practice", "",
	},
	{
		[]string{"sweat", "sweating", "beads", "dew"},
		"Beads of water in damp air: soap draws moisture. Wipe them off, and give the rack air.",
		[]string{"Beads on a bar some days old that are no water, or sting: take it for lye, gloves on."},
		"common practice", "",
	},
}

// troubleWords stand in a line about what is seen on soap, and name nothing.
var troubleWords = phrase.Words("soap soaps bar bars batch rack it has have is are the a an on in of with all over my our some there there's white orange brown yellow dark smells new still very bit little looks look feel feels gone went got and can cut we i use ok okay safe tongue my skin hands hand inside top outside after cutting what does mean why too from yet edges water")

// troubleAsk says what is wrong with a bar.
func troubleAsk() desk.Ask {
	var words []string
	for _, t := range troubles {
		words = append(words, t.words...)
	}
	return desk.Ask{
		Name: "trouble", Command: "rack", Text: true, Question: true, Keep: true, Kinds: []phrase.Kind{phrase.KindThing, phrase.KindNumber}, Lists: []string{"batches"},
		Help: "what is seen on a bar, and what to do", Forms: []string{"soap|soaps|bar|bars|batch"},
		Examples: []desk.Example{{Line: "white powder on the soap"}, {Line: "the soap has orange spots"}},
		Plain: func(req *desk.Request) bool {
			for _, t := range req.Reading.Tokens {
				if t.Kind == phrase.Word && !slices.Contains(troubleWords, t.Low) && !slices.Contains(words, t.Low) && !phrase.IsFiller(t.Low) {
					return false
				}
			}
			return req.Mentions(words...) && !req.Mentions("poured", "lye") && len(req.Reading.Tokens) <= 14
		},
		Strict: true, Do: trouble,
	}
}

func trouble(req *desk.Request) (desk.Reply, error) {
	for _, t := range troubles {
		if !req.Mentions(t.words...) {
			continue
		}
		out := desk.Answer(t.head, t.lines...)
		out.Assumed = []string{t.assumed}
		if t.war != "" {
			out.Cautions = []string{t.war}
		}
		return out, nil
	}
	return desk.Reply{}, desk.ErrSilent
}

// spillAsk says how spilled lye is cleaned up.
func spillAsk() desk.Ask {
	return desk.Ask{
		Name: "spill", Command: "burn", Text: true, Question: true, Help: "how spilled lye is cleaned up", Forms: []string{"how * clean|mop|sweep * lye", "spilled|spilt lye", "lye spill|spilled|spilt"},
		Examples: []desk.Example{{Line: "how do I clean up spilled lye"}},
		Plain:    func(req *desk.Request) bool { return len(req.Reading.Tokens) <= 12 }, Do: spill,
	}
}

// cleanUp is how spilled lye is cleaned up (common practice; the label of the tin goes before).
var cleanUp = []string{
	"dry lye: swept up dry with plastic, not wetted first and no vacuum cleaner, into a dry labelled tub; then the floor with much water",
	"lye water: soaked up with dry sand, cat litter or paper, bagged in plastic; then rinsed with much water",
	"no aluminium tools; none of it into a pond, the soil or the animals' water",
}

func spill(*desk.Request) (desk.Reply, error) {
	out := desk.Answer("Children and animals out. Goggles, chemical gloves, shoes; then:", cleanUp...)
	out.Assumed = []string{"common practice; the label of the tin goes before"}
	out.Cautions = []string{"On skin or in an eye: running water at once. All of it: help burn"}
	return out, nil
}
