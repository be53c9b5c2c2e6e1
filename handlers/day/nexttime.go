package day

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func nextTimeAsks() []desk.Ask {
	kept := []string{butcher}
	leeks := []string{"next time sow the leeks a week earlier"}
	soup := []string{"recipe Barley soup for 4\n200 g barley\n1 l stock\n\n1. Simmer for an hour."}
	return []desk.Ask{{
		Name: "next", Command: "next", Text: true, Lists: []string{"crops", "batches", "recipes"}, Kinds: []phrase.Kind{phrase.KindThing, phrase.KindDate}, Help: "what is to be otherwise next time: told when it comes round again",
		Forms: []string{"^next time", "^remember|note for next time|year", "^remember next time", "^for next time|year", "^next year"},
		Examples: []desk.Example{
			{Line: "next time sow the leeks a week earlier"},
			{Line: "next time less water in the soap"},
			{Setup: soup, Line: "next time less salt in the barley soup"},
			{Setup: kept, Line: "next time start butcher day at 6"},
			{Setup: leeks, Line: "next time leeks"},
			{Setup: leeks, Line: "next time leeks drop"},
			{Setup: leeks, Line: "next time"},
			{Line: "next time more salt in the barley soup"},
			{Line: "next year plant fewer courgettes"},
		},
		Plain: plainNext, Do: nextTime,
	}, {
		Name: "next", Command: "next", Text: true, Lists: []string{"crops", "batches", "recipes"}, Help: "forget what is kept for next time of a thing",
		Forms:    []string{"^forget|drop|delete|remove * note|notes", "^next forget|drop", "^forget what * about"},
		Examples: []desk.Example{{Setup: leeks, Line: "forget the leeks note"}}, Plain: plainForget, Do: forgetNext,
	}, {
		Name: "next", Command: "next", Text: true, Lists: []string{"crops", "batches", "recipes"}, Question: true, Help: "what is kept for next time of a thing, and noted of it",
		Forms:    []string{"^what did i|we say|note|write about|on|of", "^any|are notes on|about|for|of", "^any note on|about|for|of", "^notes on|about", "^what do we|i have|know on|about"},
		Examples: []desk.Example{{Setup: leeks, Line: "what did I say about leeks"}, {Setup: leeks, Line: "any notes on leeks"}}, Plain: plainNoted, Do: showNoted,
	}}
}

// keptOf is the thing of a line on which something is kept for next time.
func keptOf(req *desk.Request) (hung, bool) {
	text := strings.Trim(req.AfterForm(), " .!,?")
	h, ok := hungOn(req, req.Text)
	if !ok {
		return hung{about: desk.OfThing(text), name: text}, false
	}
	found, err := req.Lessons(h.about)
	return h, err == nil && len(found) > 0
}

// plainForget takes "forget the leeks note" when there is one.
func plainForget(req *desk.Request) bool {
	_, ok := keptOf(req)
	return ok && !strings.Contains(req.Text, "?") && len(phrase.Words(req.Text)) <= 8
}

func forgetNext(req *desk.Request) (desk.Reply, error) {
	h, ok := keptOf(req)
	if !ok && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	return dropNext(req, h)
}

// plainNoted takes a question about a thing that a desk knows, or of which something is kept.
func plainNoted(req *desk.Request) bool {
	_, ok := hungOn(req, req.Text)
	return ok && len(phrase.Words(req.Text)) <= 9
}

// mostNoted is how many notes of the day book are told beside what is kept for next time.
const mostNoted = 5

// showNoted tells what is kept for next time of a thing, and the notes that name it.
func showNoted(req *desk.Request) (desk.Reply, error) {
	h, _ := keptOf(req)
	reply, err := showNext(req, h.about, h.name)
	if err != nil {
		return reply, err
	}
	found, err := req.Tx.Book(req.House.ID, storage.BookQuery{Words: []string{strings.TrimSuffix(h.name, "s")}, Limit: 100})
	if err != nil {
		return reply, err
	}
	for _, e := range found {
		if e.Kind == "note" && len(reply.Lines) < mostNoted {
			reply.Lines = append(reply.Lines, fmt.Sprintf("noted %s: %s", reminders.SayDay(req.WallOf(e.Happened), req.Wall, req.House.DayFirst), strings.ReplaceAll(e.Text, "\n", " / ")))
		}
	}
	return reply, nil
}

// hung is what a line about next time hangs on.
type hung struct {
	about, name string
	text        string   // what is to be otherwise; empty for a question
	others      []string // recipes that it may be as well
	drop        bool     // forget it
}

// notWishes are words by which a line speaks to somebody, and writes nothing down.
var notWishes = []string{"i", "i'll", "i'd", "i'm", "you", "you'll", "your", "he", "she", "they", "them", "him", "we'll", "lets", "let's", "if", "when", "maybe", "us", "it's", "my", "me"}

// wishes are words that say how a thing is to be otherwise; only with one of them a line
// that names nothing hangs on what its writer has just done.
var wishes = []string{"less", "more", "no", "earlier", "later", "sooner", "smaller", "bigger", "half", "double", "thinner", "thicker", "hotter", "cooler", "longer", "shorter", "fewer", "without", "twice"}

// named is a thing that a line about next time names.
type named struct {
	hung
	inIt bool // as that which something else is in, or of: "in the soup"
	slip bool // read past a slip
}

// thingsNamed are the soap, the crops and the recipes that a line names, in the order in
// which they are preferred: "sow the leeks earlier" is of the crop, "fewer leeks in the
// pie" of the pie.
func thingsNamed(req *desk.Request) []named {
	var soap, crops, recipes []named
	for _, s := range req.Reading.Terms("batches") {
		soap = append(soap, named{hung: hung{about: desk.OfSoap, name: "soap"}, inIt: behindIn(req, s.First)})
	}
	for i, t := range req.Reading.Tokens {
		if t.Low == "soap" || t.Low == "batch" {
			soap = append(soap, named{hung: hung{about: desk.OfSoap, name: "soap"}, inIt: behindIn(req, i)})
		}
	}
	for _, s := range req.Reading.Terms("crops") {
		t := s.Value.(phrase.Term)
		if t.Match != phrase.Slip && !dishOf(req, s) {
			crops = append(crops, named{hung: hung{about: desk.OfCrop(t.Name), name: strings.ToLower(s.Text)}, inIt: behindIn(req, s.First)})
		}
	}
	for _, s := range req.Reading.Terms("recipes") {
		t := s.Value.(phrase.Term)
		if notOf(req, s.First, t.Name) {
			continue
		}
		recipes = append(recipes, named{hung: hung{about: desk.OfRecipe(t.Name), name: t.Name, others: t.Others}, inIt: behindIn(req, s.First, phrase.Words(t.Name)...), slip: t.Match == phrase.Slip})
	}
	if req.Mentions(gardenWork...) {
		return slices.Concat(soap, crops, recipes)
	}
	return slices.Concat(soap, recipes, crops)
}

// gardenWork are words by which a line is about a crop and not about a dish of it.
var gardenWork = []string{"sow", "plant", "start", "prick", "pot", "thin", "harvest", "pick", "transplant", "harden", "set", "dig", "lift", "cover", "water", "seed", "seeds"}

// behindIn reports that the word at a place is what something is in, or of; own are words
// of its name that may stand before it.
func behindIn(req *desk.Request, at int, own ...string) bool {
	toks := req.Reading.Tokens
	own = append(own, "the", "our", "a")
	for at--; at >= 0 && slices.Contains(own, toks[at].Low); at-- {
	}
	return at >= 0 && slices.Contains([]string{"in", "for", "with", "of", "to", "on"}, toks[at].Low)
}

// readNext reads what a line hangs on.
func readNext(req *desk.Request) (hung, bool) {
	text := strings.Trim(req.AfterForm(), " .!,")
	h, ok := hungOn(req, text)
	if name := looseThing(req, text); !ok && name != "" && wishedLoosely(req, text) {
		h, ok = hung{about: desk.OfThing(name), name: name}, true
	}
	h.text = text
	rest := slices.DeleteFunc(phrase.Words(text), func(w string) bool {
		return phrase.IsFiller(w) || slices.Contains(phrase.Words(h.name), w) || slices.Contains(phrase.Words(h.name), strings.TrimSuffix(w, "s")) || w == "batch"
	})
	if h.drop = ok && len(rest) == 1 && slices.Contains([]string{"drop", "forget", "off"}, rest[0]); h.drop || len(rest) == 0 {
		h.text = ""
	}
	return h, ok
}

// hungOn finds what a line hangs on: a run-up named whole, a thing, a block of the day, a
// day of the year.
func hungOn(req *desk.Request, text string) (hung, bool) {
	if r, ok := runUpIn(req, " "+strings.Join(phrase.Words(text), " ")+" "); ok {
		return hung{about: desk.OfDay(r.Name), name: r.Name}, true
	}
	things := thingsNamed(req)
	for _, fits := range []func(named) bool{
		func(n named) bool { return n.inIt && !n.slip },
		func(n named) bool { return !n.slip },
	} {
		if i := slices.IndexFunc(things, fits); i >= 0 {
			return things[i].hung, true
		}
	}
	if b := namedIn(req); b != nil {
		return hung{about: desk.OfDay(b.Title), name: b.Title}, true
	}
	if len(things) > 0 {
		return things[0].hung, true
	}
	if day, ok := yearDay(req); ok {
		return hung{about: ofDate(day), name: day.Format("2 January")}, true
	}
	return thingKept(req, text)
}

// thingKept finds a thing that a line names by the name under which something is kept.
func thingKept(req *desk.Request, text string) (hung, bool) {
	all, err := req.Tx.NextTimes(req.House.ID, "")
	low := " " + strings.Join(phrase.Words(text), " ") + " "
	for _, n := range all {
		if kind, name, _ := strings.Cut(n.About, ":"); err == nil && kind != "date" && strings.Contains(low, " "+strings.Join(phrase.Words(name), " ")+" ") {
			return hung{about: n.About, name: name}, true
		}
	}
	return hung{}, false
}

// yearDay is a day of the year that a line gives with its month: "on 1 march".
func yearDay(req *desk.Request) (time.Time, bool) {
	for _, s := range req.Reading.Of(phrase.KindDate) {
		if strings.ContainsAny(s.Text, "0123456789") && strings.ContainsAny(strings.ToLower(s.Text), "abcdefghijklmnopqrstuvwxyz/-") && !strings.HasPrefix(strings.ToLower(s.Text), "in ") {
			return s.Value.(phrase.Date).Next, true
		}
	}
	return time.Time{}, false
}

// ofDate names a day of every year.
func ofDate(day time.Time) string { return "date:" + day.Format("01-02") }

// onDate are the lessons that hang on a day of the year, but for those of that day itself.
func onDate(req *desk.Request, day time.Time) ([]string, error) {
	return req.NextTimesBefore(ofDate(day), req.Instant(day))
}

// runUpIn finds a run-up that a line names whole.
func runUpIn(req *desk.Request, low string) (storage.RunUp, bool) {
	all, err := req.Tx.RunUps(req.House.ID)
	if err != nil {
		return storage.RunUp{}, false
	}
	i := slices.IndexFunc(all, func(r storage.RunUp) bool {
		return strings.Contains(low, " "+strings.Join(phrase.Words(r.Name), " ")+" ")
	})
	if i < 0 {
		return storage.RunUp{}, false
	}
	return all[i], true
}

// plainNext takes "next time sow the leeks a week earlier" and passes over "next time
// I'll do it".
func plainNext(req *desk.Request) bool {
	ours := dayMeant(strings.Trim(req.AfterForm(), " .!,")) != "" && req.Mentions(wishes...)
	if strings.ContainsAny(req.Text, "?") || !ours && req.Mentions(notWishes...) || req.Mentions("we") && !req.Mentions(wishes...) {
		return false
	}
	h, named := readNext(req)
	year := strings.HasSuffix(req.Form, "year") && !req.Mentions("time")
	switch {
	case h.text == "":
		return !year && (named || strings.TrimSpace(req.AfterForm()) == "")
	case year:
		return named && (wishedLoosely(req, h.text) || req.Mentions(gardenWork...))
	case named || noted(req):
		return true
	}
	_, just, err := justDone(req)
	return err == nil && just && slices.Contains(wishes, first(slices.DeleteFunc(phrase.Words(h.text), func(w string) bool { return w == "a" || w == "bit" || w == "much" })))
}

func first(words []string) string {
	if len(words) == 0 {
		return ""
	}
	return words[0]
}

// justNow is how long "next time less water" means what its writer has just written down.
const justNow = 3 * time.Hour

// justDone is what somebody has written down last, when it comes round again.
func justDone(req *desk.Request) (hung, bool, error) {
	found, err := req.Tx.Book(req.House.ID, storage.BookQuery{Person: req.Who.ID, From: req.Now.Add(-justNow), Limit: 1})
	if err != nil || len(found) == 0 {
		return hung{}, false, err
	}
	kind, name, _ := strings.Cut(found[0].About, ":")
	switch kind {
	case "batch", "pouring", "cooling":
		return hung{about: desk.OfSoap, name: "soap"}, true, nil
	case "recipe":
		return hung{about: desk.OfRecipe(name), name: name}, true, nil
	case "runup":
		return hung{about: desk.OfDay(name), name: name}, true, nil
	}
	return hung{}, false, nil
}

// nextTime writes down what is to be otherwise, shows what was, or forgets it.
func nextTime(req *desk.Request) (desk.Reply, error) {
	h, named := readNext(req)
	if !named && h.text == "" {
		return showNext(req, "", "")
	}
	if !named {
		just, ok, err := justDone(req)
		if err != nil {
			return desk.Reply{}, err
		}
		if !ok {
			return desk.AskBack(fmt.Sprintf("Next time of what? Nothing is kept yet. Say it with the name of the recipe, crop, batch or day, for example: next time, soap: %s", h.text)), nil
		}
		h.about, h.name = just.about, just.name
	}
	switch {
	case len(h.others) > 0:
		return whichDish(h), nil
	case h.drop:
		return dropNext(req, h)
	case h.text == "":
		return showNext(req, h.about, h.name)
	}
	h.text = wish(h.text, strings.ToLower(h.name))
	if err := req.Record(storage.Entry{Kind: "next", About: h.about, Text: "next time, " + h.name + ": " + h.text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddNextTime(req.House.ID, storage.NextTime{About: h.about, Text: h.text, Made: req.Now, Person: req.Who.ID}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Kept for next time, %s: %s.", h.name, h.text))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return reply, nil
}

// whichDish asks of which recipe a line is.
func whichDish(h hung) desk.Reply {
	reply := desk.AskBack("Next time of which recipe?")
	what, _, _ := strings.Cut(h.text, " in the ")
	for _, name := range append([]string{h.name}, h.others...) {
		reply.Buttons = append(reply.Buttons, desk.Labelled(name, strings.TrimSpace("next time "+what+" in the "+name)))
	}
	return reply
}

// dropNext forgets what hangs on a thing.
func dropNext(req *desk.Request, h hung) (desk.Reply, error) {
	if reply, no := mayNot(req, "what is kept for next time"); no {
		return reply, nil
	}
	all, err := req.Lessons(h.about)
	if err != nil || len(all) == 0 {
		return desk.Answer("Nothing is kept for next time of " + h.name + "."), err
	}
	if err := req.Record(storage.Entry{Kind: "next", About: h.about, Text: "dropped what was kept for next time of " + h.name}); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("Dropped, next time of %s: %s.", h.name, desk.Plural(len(all), "note")))
	reply.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	for _, n := range all {
		if err := req.Tx.DropNextTimes(req.House.ID, n.About); err != nil {
			return desk.Reply{}, err
		}
		reply.Lines = append(reply.Lines, n.Text)
	}
	return reply, nil
}

func showNext(req *desk.Request, about, name string) (desk.Reply, error) {
	all, err := req.Tx.NextTimes(req.House.ID, "")
	if about != "" {
		all, err = req.Lessons(about)
	}
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		if name != "" {
			return desk.Answer("Nothing is kept for next time of " + name + "."), nil
		}
		return desk.Answer("Nothing is kept for next time. For example: next time sow the leeks a week earlier"), nil
	}
	reply := desk.Answer("Kept for next time:")
	for _, n := range all {
		what := n.About
		if _, thing, ok := strings.Cut(n.About, ":"); ok {
			what = thing
		}
		if day, err := time.Parse("date:01-02", n.About); err == nil {
			what = day.Format("2 January")
		}
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s: %s, said %s", what, n.Text, reminders.SayDay(req.WallOf(n.Made), req.Wall, req.House.DayFirst)))
	}
	return reply, nil
}

func yearAgoAsk() desk.Ask {
	return desk.Ask{
		Name: "week", Command: "week", Question: true, Keep: true, Help: "what was done at this time last year", Fill: strings.Fields("what did we do happened was last year today this day week time ago a on at in the were doing going the same"),
		Forms:    []string{"^what did we do * last year", "^what did we do * year ago", "^what happened|was * last year", "^this day|week|time last year", "^last year today|this", "^a year ago today|this"},
		Examples: []desk.Example{{Line: "what did we do this week last year"}, {Line: "what did we do last year today"}},
		Plain:    func(req *desk.Request) bool { return req.Mentions("today", "this", "same", "week") }, Do: yearAgo,
	}
}

// yearAgo tells the notes and the work of the days around this one a year ago.
func yearAgo(req *desk.Request) (desk.Reply, error) {
	found, err := ago(req, reminders.Day(req.Wall).AddDate(0, 0, -3))
	if err != nil {
		return desk.Reply{}, err
	}
	then := reminders.Day(req.Wall).AddDate(-1, 0, 0)
	said := reminders.SayDay(then, req.Wall, req.House.DayFirst)
	if len(found) == 0 {
		return desk.Answer("Nothing is in the book of the days around " + said + "."), nil
	}
	reply := desk.Answer("Around " + said + ":")
	for _, e := range found[:min(len(found), mostYearAgo)] {
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s: %s", reminders.SayDay(req.WallOf(e.Happened), req.Wall, req.House.DayFirst), strings.ReplaceAll(e.Text, "\n", " / ")))
	}
	return reply, nil
}

// mostYearAgo is how many entries of a year ago are told when somebody asks.
const mostYearAgo = 12

// ofTheYear are the kinds of entries that are worth a look a year later.
var ofTheYear = []string{"note", "sown", "batch", "sowing", "runup", "job", "bred", "hatch", "putup", "picked", "born", "hatched"}

// ago are the entries of a week that began a year before a day, the oldest first.
func ago(req *desk.Request, from time.Time) ([]storage.Entry, error) {
	then := from.AddDate(-1, 0, 0)
	found, err := req.Tx.Book(req.House.ID, storage.BookQuery{From: req.Instant(then), To: req.Instant(then.AddDate(0, 0, ahead)), Limit: 500})
	if err != nil {
		return nil, err
	}
	slices.Reverse(found)
	return slices.DeleteFunc(found, func(e storage.Entry) bool {
		return !slices.Contains(ofTheYear, e.Kind) || e.Kind == "job" && !strings.HasPrefix(e.Text, "job done")
	}), nil
}

// fromLastYear is how many notes of last year are told beside a week.
const fromLastYear = 3

// lastYear are the notes of the same week a year ago.
func lastYear(req *desk.Request, from time.Time) ([]string, error) {
	found, err := ago(req, from)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, e := range found {
		if len(out) < fromLastYear {
			out = append(out, fmt.Sprintf("A year ago, %s: %s", reminders.SayDay(req.WallOf(e.Happened), req.Wall, req.House.DayFirst), strings.ReplaceAll(e.Text, "\n", " / ")))
		}
	}
	return out, nil
}

// jobsWithHints hands the household's own jobs to the day with what was to be otherwise
// this time. One that begins later than the days that are laid waits for them.
func jobsWithHints(req *desk.Request) ([]desk.Job, error) {
	jobs, err := ownJobs(req)
	end := reminders.Day(req.Wall).AddDate(0, 0, ahead)
	jobs = slices.DeleteFunc(jobs, func(j desk.Job) bool { return !j.From.Before(end) })
	for i := range jobs {
		if err == nil {
			jobs[i].Hints, err = req.NextTimes(desk.OfThing(jobs[i].Title))
		}
	}
	return jobs, err
}
