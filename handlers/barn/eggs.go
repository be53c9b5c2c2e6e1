package barn

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

func eggAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindNumber})
	lists := []string{"people", "livestock", "herds"}
	return []desk.Ask{
		{
			Name: "eggs", Command: "eggs", Keep: true, Needs: []desk.Need{{Kind: phrase.KindNumber}}, Help: "eggs collected: today or another day, by anyone; broken, set aside to hatch, told wrong",
			Forms: []string{"^eggs", "eggs|egg", "laid", "^collected|gathered", "^no eggs|egg"}, Kinds: kinds, Lists: lists, Fill: eggWords,
			Examples: []desk.Example{
				{Line: "eggs 14"},
				{Line: "eggs 9 morning"},
				{Line: "Pim got 12 eggs, 2 broken"},
				{Line: "eggs yesterday 18"},
				{Setup: []string{"eggs 14"}, Line: "no, eggs 16"},
				{Line: "14 eggs, 6 set aside to hatch"},
			},
			Plain: plainEggs, Do: eggs,
		},
		{
			Name: "eggs", Command: "eggs", Help: "that no egg was laid", Forms: []string{"^no eggs|egg", "^not an|one egg", "^eggs none|nil|zero"}, Kinds: dayed, Lists: lists, Keep: true,
			Fill: []string{"no", "not", "an", "one", "none", "nil", "zero", "eggs", "egg", "today", "laid", "at", "all", "from"}, Examples: []desk.Example{{Line: "no eggs today"}},
			Plain: func(req *desk.Request) bool {
				return len(strangers(req, "no", "eggs", "egg", "laid", "at", "all", "from", "today", "not", "an", "one", "none", "nil", "zero")) == 0 &&
					(len(req.Reading.Spans) > 0 || hasWord(req, "none", "nil", "zero"))
			},
			Do: noEggs,
		},
		{
			Name: "eggs", Command: "eggs", Question: true, Help: "how many eggs, of today or any days", Keep: true,
			Forms: []string{"^eggs$", "^eggs", "how many|much eggs", "how many did|have * lay|laid", "any eggs", "did * eggs", "^what|whats|what's * egg|eggs", "^egg count|total|tally|book", "^eggs so far"},
			Kinds: slices.Concat(dayed, []phrase.Kind{phrase.KindDays, phrase.KindDuration}), Lists: lists, Fill: eggAskWords,
			Examples: []desk.Example{{Line: "eggs"}, {Setup: []string{"eggs 14"}, Line: "how many eggs this week"}},
			Plain:    plainEggAsk, Do: eggsAsked,
		},
	}
}

// eggWords belong to a line that tells of eggs collected.
var eggWords = []string{
	"eggs", "egg", "today", "today's", "todays", "collected", "got", "found", "gathered", "brought", "fetched", "laid", "counted", "in", "from", "this", "more", "another", "extra", "again", "so", "far", "total", "altogether",
	"me", "and", "were", "was", "is", "it", "there", "that", "make", "meant", "mean", "should", "be", "have", "been", "actually", "correction", "wrong", "mistake", "no", "not", "nope", "instead", "only", "all", "both",
	"broken", "cracked", "smashed", "broke", "dropped", "squashed", "soft", "shelled", "one", "of", "them", "which", "with", "but", "set", "aside", "keep", "kept", "keeping", "put", "by", "to", "hatch", "hatching", "for", "they", "she", "he", "hers", "now", "very", "nice", "good", "fine", "lovely", "whole", "day", "hen", "plus",
}

// nestWords are where eggs are found.
var nestWords = []string{"nest", "nests", "box", "boxes", "coop", "henhouse", "house", "ark", "run", "shed", "barn", "hedge", "straw", "hay", "bush", "under", "behind", "out", "up", "top", "bottom", "field", "pen", "nesting", "hidden", "stable", "manger", "nettles"}

// tellers are the words that say that eggs were collected.
var tellers = []string{"collected", "got", "found", "gathered", "brought", "fetched", "laid", "counted"}

// plainEggs takes a plain line only when the whole of it tells of eggs.
func plainEggs(req *desk.Request) bool {
	words := eggWords
	if hasWord(req, tellers...) {
		words = slices.Concat(words, nestWords)
	}
	if asksOrDoubts(req) || len(strangers(req, words...)) > 0 || len(talliesOf(req)) == 0 {
		return false
	}
	if hasWord(req, "for") && !hasWord(req, asideWords...) || hasWord(req, "with") && !hasWord(req, slices.Concat(brokenWords, breakers)...) {
		return false
	}
	if !hasWord(req, "egg", "eggs") && !slices.ContainsFunc(termsOf(req, "livestock"), func(t phrase.Term) bool { return laysEggs(t.Name) }) && len(termsOf(req, "herds")) == 0 {
		return false
	}
	return !slices.ContainsFunc(req.Reading.Terms("people"), func(s phrase.Span) bool { // "6 eggs from Edda" came another way
		return slices.Contains([]string{"from", "to", "for", "with"}, word(req, s.First-1))
	})
}

func laysEggs(kind string) bool {
	b, ok := beastNamed(kind)
	return ok && (b.lays || b.name == "pullet")
}

// tally is one number of eggs that a line tells.
type tally struct {
	n     int
	role  role
	group phrase.Term // whose they are, empty for not said
}

type role uint8

const (
	laid role = iota
	broken
	aside
	wrong // what was told before
)

var (
	brokenWords = []string{"broken", "cracked", "smashed", "squashed", "soft"}
	breakers    = []string{"broke", "dropped", "smashed", "cracked"}
	asideWords  = []string{"aside", "hatch", "hatching"}
)

// talliesOf are the numbers of a line with what each counts.
func talliesOf(req *desk.Request) []tally {
	var out []tally
	numbers := req.Reading.Of(phrase.KindNumber)
	for i, s := range numbers {
		n, ok := whole(s)
		if !ok || n < 0 {
			return nil
		}
		end := len(req.Reading.Tokens)
		if i+1 < len(numbers) {
			end = numbers[i+1].First
		}
		out = append(out, tally{n, roleOf(req, s, end), groupIn(req, s.Past, end)})
	}
	if len(out) == 1 && out[0].group.Name == "" { // "the bantams laid 14"
		out[0].group = groupIn(req, 0, len(req.Reading.Tokens))
	}
	return out
}

// roleOf is what a number counts, by the words before it and up to the next.
func roleOf(req *desk.Request, s phrase.Span, end int) role {
	for i := s.First - 1; i >= 0 && i >= s.First-2; i-- {
		switch w := word(req, i); {
		case w == "not", w == "of" && word(req, i-1) == "instead":
			return wrong
		case slices.Contains(breakers, w):
			return broken
		case w == "aside", w == "keep", w == "kept", w == "keeping":
			return aside
		case req.Reading.Tokens[i].Kind == phrase.Num:
			i = -1
		}
	}
	for i := s.Past; i < end; i++ {
		w := word(req, i)
		last := i == s.Past || i == s.Past+1 || end == len(req.Reading.Tokens)
		switch {
		case w == ",":
			return laid
		case slices.Contains(brokenWords, w) && last:
			return broken
		case slices.Contains(asideWords, w):
			return aside
		case slices.Contains(breakers, w):
			return laid
		}
	}
	return laid
}

// groupIn is the animals that a part of a line names.
func groupIn(req *desk.Request, first, past int) phrase.Term {
	for _, s := range req.Reading.Spans {
		t, is := s.Value.(phrase.Term)
		if is && s.First >= first && s.First < past && (t.List == "livestock" && laysEggs(t.Name) || t.List == "herds") {
			return t
		}
	}
	return phrase.Term{}
}

// corrects reports a line that mends what was told before.
func corrects(req *desk.Request) bool {
	return hasWord(req, "not", "correction", "actually", "meant", "mean", "wrong", "mistake", "instead", "nope", "sorry") || word(req, 0) == "no" || hasWord(req, "should") && hasWord(req, "be") ||
		hasWord(req, "make") && hasWord(req, "that", "it")
}

// eggs writes a collection down, or mends one.
func eggs(req *desk.Request) (desk.Reply, error) {
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	told := talliesOf(req)
	if len(told) == 0 {
		return desk.AskBack("How many eggs? For example: eggs 14"), nil
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	day := reminders.Day(when)
	if corrects(req) {
		return mend(req, b, day, told)
	}
	found, reply := b.collections(req, day, told)
	if reply.Head != "" {
		return reply, nil
	}
	if reply, err := toldTwice(req, found); err != nil || reply.Head != "" {
		return reply, err
	}
	return collect(req, b, when, found)
}

// noEggs writes a day without an egg down.
func noEggs(req *desk.Request) (desk.Reply, error) {
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	group := groupIn(req, 0, len(req.Reading.Tokens))
	found, reply := b.collections(req, reminders.Day(when), []tally{{0, laid, group}})
	if reply.Head != "" {
		return reply, nil
	}
	total, err := req.Tx.LaidOn(req.House.ID, found[0].Day, found[0].Kind)
	if err != nil {
		return desk.Reply{}, err
	}
	if total.Laid > 0 {
		return desk.AskBack(fmt.Sprintf("%s are written down %s. If that is wrong, say how many: no, eggs 12", eggsOf(total.Laid, found[0].Kind), onDay(req, found[0].Day))), nil
	}
	return collect(req, b, when, found)
}

// most eggs that one collection of a household holds.
const mostEggs = 20_000

// collections turns the numbers of a line into collections of a day, one a group.
func (b book) collections(req *desk.Request, day time.Time, told []tally) ([]storage.Eggs, desk.Reply) {
	var out []storage.Eggs
	for _, t := range told {
		if t.n > mostEggs {
			return nil, desk.Refuse(fmt.Sprintf("%d eggs cannot be. Nothing was written down.", t.n))
		}
		kind, herd := b.layers(t.group)
		last := len(out) - 1
		switch {
		case t.role == laid:
			out = append(out, storage.Eggs{Day: day, At: req.Now, Kind: kind, Herd: herd, Person: whose(req), Laid: t.n})
		case last < 0:
			out = append(out, storage.Eggs{Day: day, At: req.Now, Kind: kind, Herd: herd, Person: whose(req)})
			last = 0
			fallthrough
		case t.role == broken:
			out[last].Broken += t.n
			if besides(req) || out[last].Laid == 0 {
				out[last].Laid += t.n
			}
		case t.role == aside:
			out[last].Aside += t.n
			if out[last].Laid == 0 {
				out[last].Laid = t.n
			}
		}
	}
	for _, e := range out {
		if e.Broken+e.Aside > e.Laid {
			return nil, desk.AskBack(fmt.Sprintf("%d broken or set aside, of %s? Say it again: eggs 14, 2 broken", e.Broken+e.Aside, eggCount(e.Laid)))
		}
	}
	if len(out) == 0 {
		return nil, desk.AskBack("How many eggs? For example: eggs 14")
	}
	return out, desk.Reply{}
}

// besides tells "12 and 2 broken", which makes 14, from "14, 2 of them broken".
func besides(req *desk.Request) bool {
	return (hasWord(req, "and") || hasWord(req, "plus") || strings.Contains(req.Text, "+") || strings.Contains(req.Text, "&")) && !hasWord(req, "them", "which")
}

// whose is who collected: the one who is named, else the one who tells of it.
func whose(req *desk.Request) int64 {
	for _, t := range termsOf(req, "people") {
		if t.ID > 0 {
			return t.ID
		}
	}
	return req.Who.ID
}

// twiceWithin is how long after one person another may be telling of the same eggs.
const twiceWithin = 45 * time.Minute

// toldTwice asks about the same number that somebody else told a moment ago.
func toldTwice(req *desk.Request, found []storage.Eggs) (desk.Reply, error) {
	if len(found) != 1 || found[0].Laid == 0 || hasWord(req, "more", "another", "extra", "again", "evening", "afternoon") {
		return desk.Reply{}, nil
	}
	last, ok, err := req.Tx.LastEggs(req.House.ID, found[0].Day)
	if err != nil || !ok {
		return desk.Reply{}, err
	}
	same := last.Laid == found[0].Laid && last.Kind == found[0].Kind && last.Herd == found[0].Herd && last.Person != found[0].Person
	if !same || req.Now.Sub(last.At) > twiceWithin {
		return desk.Reply{}, nil
	}
	return desk.AskBack(fmt.Sprintf("%s told %s at %s. Are these others?", req.NameOf(last.Person), eggCount(last.Laid), req.WallOf(last.At).Format("15:04")),
		desk.Labelled("Others", req.Text+" more"), desk.Labelled("The same", "eggs")), nil
}

// collect writes collections into the book and says what comes of them.
func collect(req *desk.Request, b book, when time.Time, found []storage.Eggs) (desk.Reply, error) {
	day := reminders.Day(when)
	if err := req.Record(storage.Entry{Kind: "eggs", Happened: at(req, when), Text: b.eggText(found)}); err != nil {
		return desk.Reply{}, err
	}
	for i := range found {
		var err error
		if found[i], err = req.Tx.AddEggs(req.House.ID, found[i]); err != nil {
			return desk.Reply{}, err
		}
	}
	return afterEggs(req, b, day, found, "")
}

// afterEggs says how many there are of the day, and whatever has to be said: a number
// that cannot be, eggs that are not to be eaten, a drop worth looking into.
func afterEggs(req *desk.Request, b book, day time.Time, found []storage.Eggs, head string) (desk.Reply, error) {
	total, err := req.Tx.LaidOn(req.House.ID, day, found[0].Kind)
	if err != nil {
		return desk.Reply{}, err
	}
	if head == "" {
		head = b.eggText(found)
	}
	if total.Laid != found[0].Laid || len(found) > 1 {
		head += fmt.Sprintf("; %d %s", total.Laid, onDay(req, day))
	} else if !day.Equal(dayOf(req)) {
		head += " " + onDay(req, day)
	}
	out := desk.Quietly(desk.Upper(head) + ".")
	lines, err := b.watch(req, day, found[0].Kind, total)
	if err != nil {
		return desk.Reply{}, err
	}
	held, err := heldEggs(req, found)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines, out.Cautions = lines, held
	if len(lines)+len(held) > 0 {
		out.Quiet = false
		out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	}
	return out, nil
}

// eggText is collections in words: 14 eggs, 2 broken; 3 duck eggs.
func (b book) eggText(found []storage.Eggs) string {
	var parts []string
	for _, e := range found {
		text := eggsOf(e.Laid, e.Kind)
		if e.Laid == 0 {
			text = "no eggs"
		}
		if herd, ok := b.numbered(e.Herd); ok {
			text += " from " + called(herd)
		}
		if e.Broken > 0 {
			text += fmt.Sprintf(", %d broken", e.Broken)
		}
		if e.Aside > 0 {
			text += fmt.Sprintf(", %d set aside to hatch", e.Aside)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

// eggsOf is so many eggs of a kind of bird: 14 eggs, 3 duck eggs.
func eggsOf(n int, kind string) string {
	if kind == "hen" || kind == "" {
		return eggCount(n)
	}
	return counted(n, kind+" egg", kind+" eggs")
}

func eggCount(n int) string { return counted(n, "egg", "eggs") }

// mend puts a collection right that was told wrong.
func mend(req *desk.Request, b book, day time.Time, told []tally) (desk.Reply, error) {
	right, was := -1, -1
	for _, t := range told {
		switch {
		case t.role == wrong:
			was = t.n
		case t.role == laid && right < 0:
			right = t.n
		}
	}
	all, err := req.Tx.EggsOn(req.House.ID, day)
	if err != nil {
		return desk.Reply{}, err
	}
	if right < 0 || right > mostEggs {
		return desk.AskBack("How many eggs were it? For example: no, eggs 16"), nil
	}
	if len(all) == 0 {
		if was >= 0 {
			return desk.AskBack(fmt.Sprintf("No eggs are written down %s. Say: eggs %d", onDay(req, day), right)), nil
		}
		found, reply := b.collections(req, day, []tally{{right, laid, phrase.Term{}}})
		if reply.Head != "" {
			return reply, nil
		}
		return collect(req, b, whenOf(req, day), found)
	}
	i := meantBy(req, all, was)
	sum := 0
	for _, e := range all {
		sum += e.Laid
	}
	if i < 0 && was >= 0 && was == sum && right >= sum-all[len(all)-1].Laid { // the day's total was meant
		i, right = len(all)-1, right-(sum-all[len(all)-1].Laid)
	}
	if i < 0 {
		return desk.AskBack(fmt.Sprintf("%s of %s are written down %s: %s. Which was wrong? For example: eggs were %d not %d", eggCount(sum), desk.Plural(len(all), "collection"), onDay(req, day), sizes(all), right, all[len(all)-1].Laid)), nil
	}
	before := all[i].Laid
	if err := req.Record(storage.Entry{Kind: "eggs", Happened: at(req, whenOf(req, day)), Text: fmt.Sprintf("%s instead of %d", eggsOf(right, all[i].Kind), before)}); err != nil {
		return desk.Reply{}, err
	}
	all[i].Laid = right
	all[i].Broken, all[i].Aside = min(all[i].Broken, right), min(all[i].Aside, right)
	if err := req.Tx.SaveEggs(all[i]); err != nil {
		return desk.Reply{}, err
	}
	out, err := afterEggs(req, b, day, all[i:i+1], fmt.Sprintf("%s instead of %d", eggsOf(right, all[i].Kind), before))
	out.Quiet = false
	return out, err
}

// whenOf is a day as a moment: now for today.
func whenOf(req *desk.Request, day time.Time) time.Time {
	if day.Equal(dayOf(req)) {
		return req.Wall
	}
	return day
}

// meantBy is the collection of a day that a correction means, -1 for none: the one of
// the number that was wrong, else the last that the same person told, else the last.
func meantBy(req *desk.Request, all []storage.Eggs, was int) int {
	last := -1
	for i, e := range slices.Backward(all) {
		switch {
		case was >= 0 && e.Laid == was:
			return i
		case was < 0 && e.Person == whose(req):
			return i
		case was < 0 && last < 0:
			last = i
		}
	}
	return last
}

func sizes(all []storage.Eggs) string {
	var out []string
	for _, e := range all {
		out = append(out, fmt.Sprint(e.Laid))
	}
	return desk.List(out)
}
