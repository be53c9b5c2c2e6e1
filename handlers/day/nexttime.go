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
	return []desk.Ask{{
		Name: "next", Command: "next", Text: true, Lists: []string{"crops", "batches", "recipes"}, Kinds: []phrase.Kind{phrase.KindThing}, Help: "what is to be otherwise next time: told when it comes round again",
		Forms:    []string{"^next time"},
		Examples: []desk.Example{{Line: "next time sow the leeks a week earlier"}, {Line: "next time less water in the soap"}, {Setup: kept, Line: "next time start butcher day at 6"}, {Setup: leeks, Line: "next time leeks"}, {Setup: leeks, Line: "next time"}},
		Plain:    plainNext, Do: nextTime,
	}}
}

// hung is what a line about next time hangs on.
type hung struct {
	about, name string
	text        string // what is to be otherwise; empty for a question
}

// notWishes are words by which a line speaks to somebody, and writes nothing down.
var notWishes = []string{"i", "i'll", "i'd", "i'm", "you", "you'll", "your", "he", "she", "they", "them", "him", "we'll", "lets", "let's", "if", "when", "maybe", "us", "it's", "my", "me"}

// wishes are words that say how a thing is to be otherwise; only with one of them a line
// that names nothing hangs on what its writer has just done.
var wishes = []string{"less", "more", "no", "earlier", "later", "sooner", "smaller", "bigger", "half", "double", "thinner", "thicker", "hotter", "cooler", "longer", "shorter", "fewer", "without", "twice"}

// readNext reads what a line hangs on.
func readNext(req *desk.Request) (hung, bool) {
	h := hung{text: strings.Trim(req.AfterForm(), " .!,")}
	if len(req.Reading.Terms("recipes")) > 0 { // written into the recipe by the kitchen
		return h, false
	}
	low := " " + strings.Join(phrase.Words(h.text), " ") + " "
	for _, s := range req.Reading.Terms("crops") {
		if t := s.Value.(phrase.Term); t.Match != phrase.Slip {
			h.about, h.name = "crop:"+t.Name, strings.ToLower(s.Text)
		}
	}
	if len(req.Reading.Terms("batches")) > 0 || len(req.Reading.Of(phrase.KindThing)) > 0 && strings.Contains(low, " batch ") || strings.Contains(low, " soap ") {
		h.about, h.name = "soap", "soap"
	}
	if r, ok := runUpIn(req, low); ok {
		h.about, h.name = "day:"+r.Name, r.Name
	}
	if h.about == "" {
		if b := namedIn(req); b != nil {
			h.about, h.name = "day:"+b.Title, b.Title
		}
	}
	rest := slices.DeleteFunc(phrase.Words(h.text), func(w string) bool {
		return phrase.IsFiller(w) || slices.Contains(phrase.Words(h.name), w) || slices.Contains(phrase.Words(h.name), strings.TrimSuffix(w, "s")) || w == "batch"
	})
	if len(rest) == 0 {
		h.text = ""
	}
	return h, h.about != ""
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
	if strings.ContainsAny(req.Text, "?") || req.Mentions(notWishes...) {
		return false
	}
	h, named := readNext(req)
	if len(req.Reading.Terms("recipes")) > 0 {
		return false
	}
	if h.text == "" {
		return named || strings.TrimSpace(req.AfterForm()) == ""
	}
	if named {
		return true
	}
	_, just, err := justDone(req)
	return err == nil && just && slices.Contains(wishes, first(phrase.Words(h.text)))
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
		return hung{about: "soap", name: "soap"}, true, nil
	case "runup":
		return hung{about: "day:" + name, name: name}, true, nil
	}
	return hung{}, false, nil
}

// nextTime writes down what is to be otherwise, or shows what was.
func nextTime(req *desk.Request) (desk.Reply, error) {
	if len(req.Reading.Terms("recipes")) > 0 {
		return desk.Reply{}, desk.ErrSilent
	}
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
			return desk.AskBack("Next time what is done? Name the recipe, crop, batch or day, for example: next time less water in the soap"), nil
		}
		h.about, h.name = just.about, just.name
	}
	if h.text == "" {
		return showNext(req, h.about, h.name)
	}
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

func showNext(req *desk.Request, about, name string) (desk.Reply, error) {
	all, err := req.Tx.NextTimes(req.House.ID, about)
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
		what := strings.TrimPrefix(strings.TrimPrefix(n.About, "crop:"), "day:")
		reply.Lines = append(reply.Lines, fmt.Sprintf("%s: %s, said %s", what, n.Text, reminders.SayDay(req.WallOf(n.Made), req.Wall, req.House.DayFirst)))
	}
	return reply, nil
}

// fromLastYear is how many notes of last year are told beside a week.
const fromLastYear = 3

// lastYear are the notes of the same week a year ago.
func lastYear(req *desk.Request, from time.Time) ([]string, error) {
	then := from.AddDate(-1, 0, 0)
	found, err := req.Tx.Book(req.House.ID, storage.BookQuery{From: req.Instant(then), To: req.Instant(then.AddDate(0, 0, ahead)), Limit: 200})
	if err != nil {
		return nil, err
	}
	var out []string
	for _, e := range slices.Backward(found) {
		if slices.Contains([]string{"note", "sown", "batch", "sowing", "runup"}, e.Kind) && len(out) < fromLastYear {
			out = append(out, fmt.Sprintf("A year ago, %s: %s", reminders.SayDay(req.WallOf(e.Happened), req.Wall, req.House.DayFirst), strings.ReplaceAll(e.Text, "\n", " / ")))
		}
	}
	return out, nil
}
