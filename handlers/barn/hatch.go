package barn

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/breeding"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// hatchWords belong to a line that tells of eggs that were set.
var hatchWords = []string{
	"hatch", "set", "put", "eggs", "egg", "under", "in", "into", "the", "broody", "hen", "incubator", "still", "air", "forced", "fan", "today", "is", "are", "was", "were", "sitting", "on", "sits", "sat", "since", "from", "to", "a", "this", "morning", "started", "has", "have", "gone", "went", "of", "more", "new", "for", "hatching", "setting", "our", "and", "with", "yesterday's", "she", "her", "brooding", "down", "of", "them", "went", "egs",
}

// hatchedWords belong to a line that tells what became of them.
var hatchedWords = []string{
	"hatched", "hatch", "out", "of", "eggs", "egg", "chicks", "ducklings", "goslings", "poults", "keets", "today", "last", "night", "this", "so", "far", "have", "has", "are", "is", "came", "the", "from", "broody", "incubator", "under", "in", "all", "them", "none", "nothing", "no", "alive", "dead", "fine", "we", "got", "were", "done", "over", "with", "overnight", "been", "one",
	"candled", "clear", "clears", "took", "taken", "removed", "threw", "infertile", "good", "fertile", "growing", "and", "three", "duds", "quitter", "quitters", "bad", "cracked", "two", "left",
}

func hatchAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindNumber})
	lists := []string{"livestock", "herds"}
	eggsSet := []string{"set 12 eggs under the broody"}
	askWords := []string{"when", "whens", "when's", "do", "does", "we", "candle", "eggs", "egg", "hatch", "hatching", "is", "are", "the", "stop", "turning", "turn", "due", "will", "chicks", "what", "under", "broody", "incubator", "in", "sitting", "set", "next", "should", "i", "to", "them", "how", "many", "days", "left", "long", "till", "until", "for", "come", "out", "ducklings", "goslings", "poults", "keets"}
	return []desk.Ask{
		{
			Name: "hatch", Command: "hatch", Keep: true, Text: true, Needs: []desk.Need{{Kind: phrase.KindNumber}}, Help: "eggs set under a hen or in an incubator: candling, stop turning, the hatch",
			Forms: []string{"^hatch", "set today", "eggs|egg set", "^set * eggs|egg", "set * eggs|egg under|in", "^put * eggs|egg under|in|into", "broody|hen sitting|sits|sat on", "broody|hen is|has|been sitting|sat|set", "eggs|egg in|into|under the incubator|broody", "eggs|egg went|are|is|have|gone in|into|under"}, Kinds: kinds, Lists: lists,
			Examples: []desk.Example{{Line: "set 12 eggs under the broody"}, {Line: "hatch 24 duck eggs in the incubator"}, {Line: "hatch 10 goose eggs 5 march"}},
			Plain:    func(req *desk.Request) bool { return plainHatch(req) }, Do: setEggs,
		},
		{
			Name: "hatched", Command: "hatch", Keep: true, Text: true, Help: "what hatched, or was clear at the candle: the brooder week by week follows", Kinds: kinds, Lists: lists,
			Forms:    []string{"hatched", "^hatch done|over", "^candled", "clear|clears|infertile|quitters", "none|nothing hatched", "chicks|ducklings|goslings|poults|keets out|hatched"},
			Examples: []desk.Example{{Setup: []string{"set 12 eggs under the broody 3 weeks ago"}, Line: "hatched 9 of 12"}, {Setup: eggsSet, Line: "candled, 3 clear"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && len(strangers(req, hatchedWords...)) == 0 && (req.Has(desk.Need{Kind: phrase.KindNumber}) || hasWord(req, "none", "nothing", "all"))
			}, Do: hatched,
		},
		{
			Name: "hatch", Command: "hatch", Keep: true, Question: true, Help: "when|whens|when's to candle, when to stop turning, when they hatch", Forms: []string{"^hatch$", "when|whens|when's * candle|hatch|turning|hatching", "when|whens|when's * eggs due", "how * incubator", "days till|until * hatch"}, Lists: lists, Fill: askWords,
			Examples: []desk.Example{{Setup: eggsSet, Line: "when do we candle"}, {Setup: eggsSet, Line: "hatch"}},
			Plain: func(req *desk.Request) bool {
				return len(strangers(req, askWords...)) == 0
			}, Do: whenHatch,
		},
	}
}

func plainHatch(req *desk.Request) bool {
	left := strangers(req, slices.Concat(hatchWords, namesTold(req))...)
	if asksOrDoubts(req) || len(left) > 0 && !(len(left) == 1 && (knownEggs(req) || word(req, 0) == "hatch")) {
		return false
	}
	return hasWord(req, "egg", "eggs", "egs") && hasWord(req, "under", "broody", "incubator", "hatch", "sitting", "set", "sits", "sat")
}

// setEggs writes eggs down that were set, and what comes until they hatch.
func setEggs(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was written down."), nil
	}
	n := 0
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if v, ok := whole(s); ok && n == 0 {
			n = v
		}
	}
	if n < 1 || n > 5000 {
		return desk.AskBack("How many eggs, and of what? For example: hatch 24 duck eggs 5 march"), nil
	}
	if left := strangers(req, slices.Concat(hatchWords, namesTold(req), breedWords)...); len(left) > 0 && len(animalTerms(req)) == 0 && !knownEggs(req) {
		return desk.AskBack(fmt.Sprintf("Eggs of what? I do not know %s. For example: hatch 24 duck eggs 5 march", desk.Quote(strings.Join(left, " ")))), nil
	}
	l, reply := lengthOfEggs(req)
	if reply.Head != "" {
		return reply, nil
	}
	day := setDay(req)
	if days(dayOf(req), day) > mostAhead {
		return desk.AskBack(fmt.Sprintf("%s is far ahead. Say it when they are set.", sayDate(req, day))), nil
	}
	m := storage.Mating{Household: req.House.ID, Species: l.Species, Breed: l.Breed, Since: day, Until: day, Eggs: n, Under: underSaid(req)}
	m.Name = counted(n, eggWord(l)+" egg", eggWord(l)+" eggs")
	c := course{m, l}
	all, err := expecting(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if slices.ContainsFunc(all, func(o course) bool { return o.Name == c.Name && o.Since.Equal(day) }) && !hasWord(req, "more", "another") {
		return desk.AskBack(fmt.Sprintf("%s of %s are written down. Are these others?", m.Name, sayDate(req, day)), desk.Labelled("Others", req.Text+" more")), nil
	}
	if err := req.Record(storage.Entry{Kind: "hatch", Happened: at(req, whenOf(req, day)), Text: fmt.Sprintf("%s set %s", m.Name, underText(m.Under))}); err != nil {
		return desk.Reply{}, err
	}
	if c.Mating, err = req.Tx.AddMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	return c.toldHatch(req)
}

// knownEggs reports a bird of the table that is no kind of the flock book: a pheasant.
func knownEggs(req *desk.Request) bool {
	return slices.ContainsFunc(breeding.Lookup(req.Text), func(l breeding.Length) bool { return l.Kind == breeding.Incubation })
}

// mostAhead is how many days ahead eggs may be told to be set.
const mostAhead = 60

// setDay is the day on which eggs were or will be set.
func setDay(req *desk.Request) time.Time {
	w := req.Reading.Moment(req.Context(), phrase.Past)
	if w.Count == 0 {
		return dayOf(req)
	}
	day := reminders.Day(w.Wall)
	for _, s := range req.Reading.Of(phrase.KindDate) { // a date of last year is one to come
		if d := s.Value.(phrase.Date); !d.Next.Equal(d.Last) && days(d.Last, dayOf(req)) > mostAhead {
			day = d.Next
		}
	}
	return day
}

// eggWord is what eggs are called after: duck, hen, goose.
func eggWord(l breeding.Length) string {
	name := l.Species
	if l.Breed != "" && l.Species != "goose" {
		name = l.Breed + " " + l.Species
	}
	return strings.Replace(strings.Replace(name, "bantam chicken", "bantam", 1), "chicken", "hen", 1)
}

// lengthOfEggs is how long the eggs of a line take. Reply asks where it is not plain.
func lengthOfEggs(req *desk.Request) (breeding.Length, desk.Reply) {
	text := strings.ToLower(req.Text)
	for _, w := range []string{"broody hen", "the hen", "our hen", "hens", "broody"} { // who sits is not what is sat on
		text = strings.ReplaceAll(text, w, " ")
	}
	found := slices.DeleteFunc(breeding.Lookup(text), func(l breeding.Length) bool { return l.Kind != breeding.Incubation })
	switch len(found) {
	case 0:
		found = slices.DeleteFunc(breeding.Lookup("chicken"), func(l breeding.Length) bool { return l.Breed != "" })
	case 1:
	default:
		return ofSeveral(req, found)
	}
	if len(found) == 0 {
		return breeding.Length{}, desk.AskBack("Eggs of what? For example: hatch 24 duck eggs 5 march")
	}
	return found[0], desk.Reply{}
}

func underSaid(req *desk.Request) string {
	switch {
	case hasWord(req, "incubator") && hasWord(req, "still"):
		return stillAir
	case hasWord(req, "incubator"):
		return incubator
	case hasWord(req, "broody", "hen", "under", "sitting", "sat", "sits"):
		return broody
	}
	return ""
}

func underText(under string) string {
	switch under {
	case broody:
		return "under a broody"
	case stillAir:
		return "in the still-air incubator"
	case incubator:
		return "in the incubator"
	}
	return ""
}

// toldHatch sets the bells of eggs and says what comes.
func (c course) toldHatch(req *desk.Request) (desk.Reply, error) {
	if err := c.resettle(req); err != nil {
		return desk.Reply{}, err
	}
	steps, err := c.stepLines(req, mostSteps)
	if err != nil {
		return desk.Reply{}, err
	}
	head := strings.TrimSpace(fmt.Sprintf("%s set %s", desk.Upper(c.Name), underText(c.Under)))
	out := desk.Answer(fmt.Sprintf("%s, %s: hatch %s.", head, sayDate(req, c.Since), c.window(req)), steps...)
	if stop := c.Since.AddDate(0, 0, c.length.StopTurning); c.Under != broody && !dayOf(req).Before(stop) {
		out.Lines = slices.Concat([]string{fmt.Sprintf("Stop turning now: the last was due %s. Humidity %.0f%% to %.0f%%.", sayDate(req, stop), c.length.HumidityLast.Low, c.length.HumidityLast.High)}, steps)
	}
	if c.Under != broody {
		out.Lines = append(out.Lines, c.warmth(req))
	} else {
		out.Lines = append(out.Lines, "She turns and airs them herself: feed and water by her, and leave her be.")
	}
	out.Assumed = []string{c.assumed()}
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// warmth says how warm and how damp an incubator is kept.
func (c course) warmth(req *desk.Request) string {
	temp := func(f float64) string {
		if req.House.US {
			return fmt.Sprintf("%.4g F", f)
		}
		return fmt.Sprintf("%.1f C", (f-32)/1.8)
	}
	text := fmt.Sprintf("Forced air %s", rangeText(c.length.TempF.Low, c.length.TempF.High, temp))
	if c.length.Species == "chicken" {
		text += fmt.Sprintf(", still air %s at the tops of the eggs", temp(102))
	}
	percent := func(v float64) string { return fmt.Sprintf("%.0f%%", v) }
	if !c.Since.IsZero() && !dayOf(req).Before(c.Since.AddDate(0, 0, c.length.StopTurning)) {
		return fmt.Sprintf("%s; humidity %s until they are out. Turn no more.", text, rangeText(c.length.HumidityLast.Low, c.length.HumidityLast.High, percent))
	}
	return fmt.Sprintf("%s; humidity %s, from the last turning %s. Turn 3 to 5 times a day.", text, rangeText(c.length.Humidity.Low, c.length.Humidity.High, percent), rangeText(c.length.HumidityLast.Low, c.length.HumidityLast.High, percent))
}

func rangeText(low, high float64, say func(float64) string) string {
	if low == high {
		return say(low)
	}
	return say(low) + " to " + say(high)
}

// sitting are the eggs that are set and of which nothing was told yet; those that a line
// names by their kind where it names one.
func sitting(req *desk.Request) ([]course, error) {
	all, err := expecting(req)
	all = slices.DeleteFunc(all, func(c course) bool { return !c.hatching() })
	var named []course
	for _, s := range req.Reading.Terms("livestock") {
		k, _ := beastNamed(s.Value.(phrase.Term).Name)
		sits := k.name == "hen" && !strings.HasPrefix(word(req, s.Past), "egg") // "under the hen" names who sits
		for _, c := range all {
			if c.Species == speciesOf[k.family] && !sits {
				named = append(named, c)
			}
		}
	}
	if len(named) > 0 {
		return named, err
	}
	return all, err
}

// hatched writes down what hatched, or what was clear at the candle.
func hatched(req *desk.Request) (desk.Reply, error) {
	all, err := sitting(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("No eggs are written down as set. For example: set 12 eggs under the broody"), nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	var numbers []int
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if n, ok := whole(s); ok {
			numbers = append(numbers, n)
		}
	}
	if hasWord(req, "candled", "clear", "clears", "infertile", "quitters", "quitter", "duds") && !hasWord(req, "hatched") {
		return candled(req, all, when, numbers)
	}
	c, reply := oneSitting(req, all, numbers)
	if reply.Head != "" {
		return reply, nil
	}
	n := 0
	switch {
	case hasWord(req, "none", "nothing") || hasWord(req, "no") && len(numbers) == 0:
	case hasWord(req, "all") && len(numbers) == 0:
		n = c.Eggs
	case len(numbers) > 0:
		n = numbers[0]
	default:
		return desk.AskBack(fmt.Sprintf("How many hatched? For example: hatched %d of %d", max(c.Eggs-c.Eggs/4, 1), c.Eggs)), nil
	}
	if n > c.Eggs {
		return desk.AskBack(fmt.Sprintf("%d of %s? How many hatched?", n, c.Name)), nil
	}
	return c.hatch(req, when, n)
}

// oneSitting is which of several settings hatched: the one of so many eggs, or the one
// that is due.
func oneSitting(req *desk.Request, all []course, numbers []int) (course, desk.Reply) {
	if len(all) > 1 && len(numbers) > 1 {
		if of := slices.DeleteFunc(slices.Clone(all), func(c course) bool { return c.Eggs != numbers[1] }); len(of) > 0 {
			all = of
		}
	}
	var due []course
	for _, c := range all {
		if e, err := c.expected(); err == nil && !dayOf(req).Before(e.Earliest.AddDate(0, 0, -2)) {
			due = append(due, c)
		}
	}
	if len(due) == 1 {
		return due[0], desk.Reply{}
	}
	if len(all) == 1 {
		return all[0], desk.Reply{}
	}
	var names []string
	for _, c := range all {
		names = append(names, fmt.Sprintf("%s of %s", c.Name, sayDate(req, c.Since)))
	}
	return course{}, desk.AskBack("Which: " + strings.Join(names, " or ") + "?")
}

func (c course) hatch(req *desk.Request, when time.Time, n int) (desk.Reply, error) {
	day := reminders.Day(when)
	e, err := c.expected()
	if err != nil {
		return desk.Reply{}, err
	}
	if n > 0 && day.Before(e.Earliest.AddDate(0, 0, -4)) {
		return desk.AskBack(fmt.Sprintf("%s are due %s. When were they set? Take that back first: undo", c.Name, c.window(req))), nil
	}
	s, _ := breeding.SpeciesNamed(c.length.Species)
	text := fmt.Sprintf("%s of %s hatched", counted(n, s.Young[0].One, s.Young[0].Many), c.Name)
	if err := req.Record(storage.Entry{Kind: "hatched", Happened: at(req, when), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	c.Over, c.Fate, c.Born = day, storage.FateBorn, n
	if n == 0 {
		c.Fate = storage.FateLost
	}
	if err := c.addYoung(req, day, n); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SaveMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	if err := c.resettle(req); err != nil {
		return desk.Reply{}, err
	}
	steps, err := c.stepLines(req, mostSteps)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s (%.0f%%), %s.", desk.Upper(text), 100*float64(n)/float64(max(c.Eggs, 1)), onDay(req, day)), steps...)
	if n > 0 {
		out.Cautions = []string{"Chicks carry Salmonella: hands washed, no kissing, none in the kitchen; under 5s, over 65s and whoever is expecting leave them to others (public health advice, from memory)."}
		if c.Under != broody {
			out.Cautions = append(out.Cautions, breeding.Lamps)
		}
	}
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// candled takes clear eggs out of a setting.
func candled(req *desk.Request, all []course, when time.Time, numbers []int) (desk.Reply, error) {
	if len(all) > 1 {
		var names []string
		for _, c := range all {
			names = append(names, fmt.Sprintf("%s of %s", c.Name, sayDate(req, c.Since)))
		}
		return desk.AskBack("Which: " + strings.Join(names, " or ") + "?"), nil
	}
	c, n := all[0], 0
	if len(numbers) > 0 {
		n = numbers[0]
	}
	if len(numbers) > 0 && hasWord(req, "good", "fertile", "left", "growing", "alive") && !hasWord(req, "clear", "clears", "out", "threw") {
		n = max(c.Eggs-n, 0)
	}
	if len(numbers) == 0 && !hasWord(req, "all", "none", "no") {
		return desk.AskBack("How many were clear? For example: candled, 3 clear"), nil
	}
	if n >= c.Eggs && n > 0 {
		return desk.AskBack(fmt.Sprintf("%d of %s? If all are clear, say: none hatched", n, c.Name)), nil
	}
	text := fmt.Sprintf("%s candled: %d clear and taken out, %d go on", c.Name, n, c.Eggs-n)
	if err := req.Record(storage.Entry{Kind: "hatch", Happened: at(req, when), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	c.Eggs -= n
	if err := req.Tx.SaveMating(c.Mating); err != nil {
		return desk.Reply{}, err
	}
	if err := c.endCandling(req); err != nil {
		return desk.Reply{}, err
	}
	steps, err := c.stepLines(req, mostSteps)
	return desk.Answer(desk.Upper(text)+".", steps...), err
}

// endCandling ends the bell that rings for a candling: it is told of.
func (c course) endCandling(req *desk.Request) error {
	bells, err := req.Tx.SubjectBells(req.House.ID, c.subject())
	if err != nil {
		return err
	}
	for _, b := range bells {
		if !strings.Contains(b.Step, "-candle") {
			continue
		}
		_, due, err := req.BellJob(b, candleTakes)
		if err == nil && due {
			err = endBell(req, b)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// whenHatch answers when the eggs that are set are candled, and when they hatch.
func whenHatch(req *desk.Request) (desk.Reply, error) {
	all, err := sitting(req)
	if err != nil {
		return desk.Reply{}, err
	}
	switch len(all) {
	case 0:
		if !req.Direct && !strings.HasPrefix(req.Form, "^hatch") {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.Answer("No eggs are written down as set.", "For example: set 12 eggs under the broody"), nil
	case 1:
		return all[0].state(req)
	}
	out := desk.Answer("Set:")
	for _, c := range all {
		out.Lines = append(out.Lines, fmt.Sprintf("%s, %s: hatch %s", desk.Upper(c.Name), c.since(req), c.window(req)))
		steps, err := c.stepLines(req, 2)
		if err != nil {
			return desk.Reply{}, err
		}
		for _, s := range steps {
			if !strings.HasPrefix(s, "and ") {
				out.Lines = append(out.Lines, "  "+s)
			}
		}
	}
	return out, nil
}
