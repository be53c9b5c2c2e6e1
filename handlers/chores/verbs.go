package chores

import (
	"strings"
	"sync"
)

// work lists the verbs by which a plain sentence gives work out: "Ivo feeds the
// sow". Only these, so that "Tom plays football on saturday" stays talk.
const work = `feed water muck clean wash sweep tidy set lay clear collect gather fetch bring carry empty fill bake cook weed
	milk shut close open lock let brush groom walk exercise bed mend fix repair stack chop split saw drive run light kill butcher
	mow jab mix stir render move worm spray gut pluck dry fold iron hang peg sort hoover vacuum dust mop scrub polish wipe rinse
	peel make prepare harvest pick dig plant sow prune hoe rake turn check count weigh log mind watch wind pack label wrap churn
	strain knead grind break top refill scrape burn stoke lift load unload compost recycle bath bathe exchange change strip vaccinate
	dose drench inject clip shear trim gather tie untie hose bottle scald candle dispatch cull fry deep-fry unmould pour cut paint oil sharpen
	measure tend boil drain unblock weld solder drill rotavate strim scythe axe creosote spread bleach castrate disbud dehorn dip skin
	deworm grease reset slice carve dice plough harrow`

// risky are verbs that give work out only where it is dangerous, to be refused to a
// child: Ivo climbs, rides and drives as he likes otherwise.
const risky = `ride sit climb lead shoot wade steer tow hitch operate start fuel refuel handle hold catch chase sand`

// spoken are verbs that are something else in their plain form: only "tills" and "cans"
// give work out.
const spoken = `till can`

// baseVerbs maps what a sentence says of one person ("feeds") and of several ("feed")
// to the plain verb.
var baseVerbs = sync.OnceValue(makeBases)

func makeBases() map[string]string {
	out := map[string]string{}
	for v := range strings.FieldsSeq(work + " " + risky + " do go help put take give get use pick practise practice") {
		out[v], out[third(v)] = v, v
	}
	for v := range strings.FieldsSeq(spoken) {
		out[third(v)] = v
	}
	return out
}

// third is a verb as it is said of one other: feeds, washes, tidies, does.
func third(v string) string {
	switch {
	case strings.HasSuffix(v, "y") && !strings.ContainsRune("aeiou", rune(v[len(v)-2])):
		return v[:len(v)-1] + "ies"
	case strings.HasSuffix(v, "sh"), strings.HasSuffix(v, "ch"), strings.HasSuffix(v, "x"), strings.HasSuffix(v, "s"), strings.HasSuffix(v, "o"):
		return v + "es"
	}
	return v + "s"
}

// pasts are the verbs that do not take -ed.
var pasts = map[string]string{
	"feed": "fed", "sweep": "swept", "bring": "brought", "make": "made", "take": "took", "shut": "shut", "set": "set", "lay": "laid", "do": "did",
	"put": "put", "dig": "dug", "cut": "cut", "hang": "hung", "wind": "wound", "let": "let", "run": "ran", "drive": "drove", "break": "broke",
	"give": "gave", "go": "went", "spread": "spread", "get": "got", "light": "lit", "burn": "burnt", "grind": "ground", "sow": "sowed",
}

// formsOf are the ways in which a verb of a chore's name is typed: fed, feeding.
func formsOf(v string) []string {
	stem := strings.TrimSuffix(v, "e")
	last := v[len(v)-1:]
	out := []string{third(v), stem + "ing", v + last + "ing", stem + "ed", v + last + "ed"}
	if strings.HasSuffix(v, "y") {
		out = append(out, v[:len(v)-1]+"ied")
	}
	if past, ok := pasts[v]; ok {
		out = append(out, past)
	}
	return out
}

// told are the words that tell of something done; with "set" and "shut" the rest of
// the line decides.
var told = strings.Join(tellWords(), "|")

var tellWords = sync.OnceValue(makeTellWords)

func makeTellWords() []string {
	out := []string{"done", "finished", "given", "layed"}
	for v := range strings.FieldsSeq(work + " do") {
		out = append(out, pastOf(v))
	}
	return out
}

func pastOf(v string) string {
	if p, ok := pasts[v]; ok {
		return p
	}
	switch {
	case strings.HasSuffix(v, "e"):
		return v + "d"
	case strings.HasSuffix(v, "y") && !strings.ContainsRune("aeiou", rune(v[len(v)-2])):
		return v[:len(v)-1] + "ied"
	}
	for _, double := range []string{"mop", "strip", "clip", "trim", "wrap", "jab", "stir", "chop", "top", "log", "peg", "strim", "dip", "skin"} {
		if v == double {
			return v + v[len(v)-1:] + "ed"
		}
	}
	return v + "ed"
}
