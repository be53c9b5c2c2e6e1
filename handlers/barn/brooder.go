package barn

import (
	"fmt"
	"slices"

	"yardbell/calc/breeding"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

func brooderAsks() []desk.Ask {
	words := []string{"how", "warm", "hot", "should", "the", "brooder", "be", "in", "week", "temperature", "temp", "what", "for", "is", "of", "at", "a", "first", "second", "third", "fourth", "fifth", "sixth", "chicks", "ducklings", "poults", "keets", "goslings", "incubator", "humidity", "do", "does", "need", "set", "to", "heat", "lamp", "now", "this", "old", "weeks", "it", "kept"}
	return []desk.Ask{{
		Name: "brooder", Command: "hatch", Keep: true, Text: true, Question: true, Help: "how warm the brooder or the incubator is to be", Lists: []string{"livestock"}, Kinds: []phrase.Kind{phrase.KindNumber, phrase.KindDuration},
		Forms: []string{"brooder", "incubator", "warm|hot * chicks|ducklings|poults|keets"}, Examples: []desk.Example{{Line: "how warm should the brooder be in week 2"}, {Line: "what temp for the incubator"}},
		Plain: func(req *desk.Request) bool {
			return hasWord(req, "how", "what", "temperature", "temp", "humidity", "week") && len(strangers(req, words...)) == 0
		}, Do: brooder,
	}}
}

// ordinals are the weeks that are said in words.
var ordinals = []string{"first", "second", "third", "fourth", "fifth", "sixth"}

// weekSaid is the week of a brooder that a line names, 0 for none.
func weekSaid(req *desk.Request) int {
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if n, ok := whole(s); ok && n > 0 {
			return n
		}
	}
	for _, t := range req.Reading.Tokens {
		if i := slices.Index(ordinals, t.Low); i >= 0 {
			return i + 1
		}
	}
	return 0
}

// brooder says how warm the brooder is to be week by week, or the incubator.
func brooder(req *desk.Request) (desk.Reply, error) {
	species := "chicken"
	for _, t := range termsOf(req, "livestock") {
		if b, ok := beastNamed(t.Name); ok && speciesOf[b.family] != "" {
			species = speciesOf[b.family]
		}
	}
	if hasWord(req, "incubator") && !hasWord(req, "brooder") {
		found := slices.DeleteFunc(breeding.Lookup(species), func(l breeding.Length) bool { return l.Kind != breeding.Incubation })
		if len(found) == 0 {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.Answer((course{length: found[0]}).warmth(req), "Too hot kills sooner than too cool: over 103 F (39.4 C) for hours is the end of them."), nil
	}
	weeks := breeding.Brooder(species)
	week := weekSaid(req)
	if len(weeks) == 0 || week > len(weeks)+2 {
		return desk.AskBack("Which week, of which birds? For example: how warm should the brooder be in week 2"), nil
	}
	temp := func(f float64) string { return sayWarm(req, f) }
	out := desk.Answer("The brooder, measured at the height of the chicks:")
	if week > 0 {
		w := weeks[min(week, len(weeks))-1]
		out = desk.Answer(fmt.Sprintf("Week %d: %s at the height of the chicks.", week, rangeText(w.F.Low, w.F.High, temp)))
	} else {
		for i, w := range weeks {
			out.Lines = append(out.Lines, fmt.Sprintf("Week %d: %s", i+1, rangeText(w.F.Low, w.F.High, temp)))
		}
	}
	out.Lines = append(out.Lines, "Huddled: too cold. Spread to the walls and panting: too hot.")
	out.Cautions = []string{breeding.Lamps}
	return out, nil
}

// sayWarm writes a temperature that is given in Fahrenheit in the household's degrees.
func sayWarm(req *desk.Request, f float64) string {
	if req.House.US {
		return fmt.Sprintf("%.4g F", f)
	}
	return fmt.Sprintf("%.0f C", breeding.Celsius(f))
}
