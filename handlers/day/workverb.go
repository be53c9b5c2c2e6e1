package day

import (
	"slices"
	"strings"
)

// workVerbs begin the name of a job: "job wash the windows" is one, "job lot of wool" not.
var workVerbs = func() map[string]bool {
	m := map[string]bool{}
	for w := range strings.FieldsSeq(`mend fix wash clean paint clear sort stack build repair sweep bake phone call order dig weed plant chop fetch check empty tidy scrub
		hang oil sharpen make split pour render move sow prune water rake mow hoe spread haul load unload saw sand varnish bottle label wrap shear trim muck fence rake service replace
		bleed drain insulate tile plaster grease lag creosote whitewash bury burn sew knit darn iron defrost descale write post pay book collect deliver`) {
		m[w] = true
	}
	return m
}()

// irregular are the past forms that do not end in "ed".
var irregular = map[string]string{
	"build": "built", "sweep": "swept", "dig": "dug", "make": "made", "hang": "hung", "split": "split", "sow": "sown", "mow": "mown", "shear": "shorn", "burn": "burnt", "sew": "sewn", "write": "written",
	"pay": "paid", "bleed": "bled", "spread": "spread", "saw": "sawn", "bury": "buried", "empty": "emptied", "tidy": "tidied",
}

// doubled are the verbs whose last letter is written twice before an ending.
var doubled = []string{"chop", "dig", "split", "wrap", "trim", "scrub", "lag", "knit"}

// past is the form of a verb for work that has been done.
func past(verb string) string {
	if form := irregular[verb]; form != "" {
		return form
	}
	return root(verb) + "ed"
}

// gerund is the form of a verb for work that goes on.
func gerund(verb string) string { return root(verb) + "ing" }

func root(verb string) string {
	if slices.Contains(doubled, verb) {
		return verb + verb[len(verb)-1:]
	}
	return strings.TrimSuffix(verb, "e")
}

// workForms are forms of all verbs of work, in order.
func workForms(of func(verb string) []string) []string {
	var out []string
	for w := range workVerbs {
		out = append(out, of(w)...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// doneForms are the ways to say that a job is done by its own verb: "painted the gate",
// "the gate is painted".
func doneForms() []string {
	all := strings.Join(workForms(func(w string) []string { return []string{past(w)} }), "|")
	return []string{"^" + all, "^i|we|i've|we've " + all, "is|are|all " + all + "$"}
}
