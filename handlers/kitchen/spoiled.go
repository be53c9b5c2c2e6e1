package kitchen

import (
	"yardbell/calc/safety"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// The faults of a tin or a jar, in the order of their danger, with the name of the rule.
var vesselFaults = []struct {
	words []string
	rule  string
}{
	{[]string{"bulging", "bulged", "bulges", "bulge", "blown", "swollen", "domed", "leaking", "leaks", "leaked", "spurted", "spurts", "hissed", "foaming", "foams", "fizzing", "cracked", "stinks"}, "bulging tin"},
	{[]string{"popped", "seal", "sealed", "unsealed", "loose", "ping", "pinged"}, "unsealed jar"},
	{[]string{"dented", "dent", "dents", "rusty", "rust", "rusted"}, "dented tin"},
}

// vesselWords belong to a line about a tin or a jar with a fault, and name none.
var vesselWords = func() map[string]bool {
	m := map[string]bool{}
	for _, f := range vesselFaults {
		for _, w := range f.words {
			m[w] = true
		}
	}
	for _, w := range phrase.Words(`tin tins can cans canned tinned jar jars lid lids bottle kilner one two some old home
		not didn't didnt hasn't hasnt isn't isnt doesn't doesnt never won't wont no lost came come up off on top out
		eat eaten open opened use safe ok okay still fine throw away we they them when what a bit slightly badly little has have been
		beans bean tomatoes tomato soup fish tuna salmon sardines meat jam chutney pickles pickle peaches plums pears apples beetroot
		peas sweetcorn corn stock stew passata fruit marmalade apple sauce after canning night yesterday today`) {
		m[w] = true
	}
	return m
}()

// spoiledAsk takes a tin or a jar with a fault: the one thing in the store that kills.
func spoiledAsk() desk.Ask {
	return desk.Ask{
		Name: "safe", Command: "safe", Text: true, Question: true, Keep: true, Help: "a tin that bulges, a lid that did not seal",
		Forms:    []string{"tin|tins|can|cans|jar|jars|lid|lids", "bulging|dented|leaking|blown|unsealed"},
		Kinds:    []phrase.Kind{phrase.KindNumber},
		Examples: []desk.Example{{Line: "the tin of beans is bulging"}, {Line: "one jar didn't seal"}},
		Plain: func(req *desk.Request) bool {
			for _, t := range req.Reading.Tokens {
				if t.Kind == phrase.Word && !vesselWords[t.Low] && !phrase.IsFiller(t.Low) {
					return false
				}
			}
			return vesselFault(req) != ""
		},
		Strict: true,
		Do: func(req *desk.Request) (desk.Reply, error) {
			rule := vesselFault(req)
			if rule == "" {
				return desk.Reply{}, desk.ErrSilent
			}
			found := safety.Rules(rule)
			out := desk.Answer(found[0].Text)
			for _, r := range found[1:] {
				out.Lines = append(out.Lines, r.Text)
			}
			out.Cautions = []string{safety.Doubt}
			return out, nil
		},
	}
}

// vesselFault is the rule for the fault that a line tells of a tin or a jar; empty for
// none. A jar that sealed has none.
func vesselFault(req *desk.Request) string {
	if !req.Mentions("tin", "tins", "can", "cans", "jar", "jars", "lid", "lids") {
		return ""
	}
	for _, f := range vesselFaults {
		if !req.Mentions(f.words...) {
			continue
		}
		if req.Mentions("seal", "sealed") && !req.Mentions("not", "didn't", "didnt", "hasn't", "hasnt", "isn't", "isnt", "doesn't", "doesnt", "never", "won't", "wont", "no", "lost") {
			return ""
		}
		return f.rule
	}
	return ""
}
