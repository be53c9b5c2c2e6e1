package barn

import (
	"cmp"
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
			Name: "eggs", Command: "eggs", Keep: true, Text: true, Needs: []desk.Need{{Kind: phrase.KindNumber}}, Help: "eggs collected: today or another day, by anyone; broken, set aside to hatch, told wrong",
			Forms: []string{"^eggs", "eggs|egg|egs|eegs|eggz", "laid|layed", "^collected|gathered", "^no eggs|egg"}, Kinds: kinds, Lists: lists, Fill: eggWords,
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
					(len(req.Reading.Spans) > 0 || hasWord(req, "none", "nil", "zero") || len(req.Reading.Tokens) == 2)
			},
			Do: noEggs,
		},
		{
			Name: "eggs", Command: "eggs", Question: true, Help: "how many eggs, of today or any days", Keep: true,
			Forms: []string{"^eggs$", "^eggs", "how many|much eggs", "how many did|have * lay|laid", "any eggs", "did * eggs", "^what|whats|what's * egg|eggs", "^egg count|total|tally|book", "^eggs so far", "best|worst day * eggs", "average eggs", "who got|collected * eggs", "^who * eggs"},
			Kinds: slices.Concat(dayed, []phrase.Kind{phrase.KindDays, phrase.KindDuration}), Lists: lists, Fill: eggAskWords,
			Examples: []desk.Example{{Line: "eggs"}, {Setup: []string{"eggs 14"}, Line: "how many eggs this week"}},
			Plain:    plainEggAsk, Do: eggsAsked,
		},
	}
}

// eggWords belong to a line that tells of eggs collected.
var eggWords = []string{
	"eggs", "egg", "today", "today's", "todays", "collected", "got", "found", "gathered", "brought", "fetched", "laid", "layed", "counted", "in", "from", "this", "more", "another", "extra", "again", "so", "far", "total", "altogether",
	"me", "and", "were", "was", "is", "it", "there", "that", "mondays", "tuesdays", "wednesdays", "thursdays", "fridays", "saturdays", "sundays", "monday's", "saturday's", "sunday's", "friday's", "make", "meant", "mean", "should", "be", "have", "been", "actually", "correction", "wrong", "mistake", "no", "not", "nope", "instead", "only", "all", "both",
	"on", "basket", "bucket", "bowl", "that's", "thats", "forgot", "forgotten", "say", "tell", "miscounted", "its", "it's", "correct", "back", "sorry", "or", "pair",
	"broken", "cracked", "smashed", "broke", "dropped", "squashed", "soft", "shelled", "one", "of", "them", "which", "with", "but", "set", "aside", "keep", "kept", "keeping", "put", "by", "to", "hatch", "hatching", "for", "they", "she", "he", "hers", "sure", "really", "now", "very", "nice", "good", "fine", "lovely", "whole", "day", "hen", "plus", "colected", "collectd", "colleted", "brown", "white", "blue", "green", "speckled",
}

// shouldBe reads "eggs today should be 12", which mends and does not doubt.
func shouldBe(req *desk.Request) bool {
	return hasWord(req, "should") && hasWord(req, "be") && !hasWord(req, "could", "would", "when", "if", "how", "what")
}

// placedOnly reports that what is left of a line says where eggs were found and nothing
// else: under the cart, in the hay.
func placedOnly(req *desk.Request, left []string) bool {
	if len(left) == 0 {
		return true
	}
	i := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		return slices.Contains([]string{"under", "in", "behind", "by", "beside", "on", "near"}, t.Low)
	})
	if i < 0 || !hasWord(req, "found", "collected", "got") || len(left) > 3 {
		return false
	}
	after := map[string]bool{}
	for _, t := range req.Reading.Tokens[i:] {
		after[t.Low] = true
	}
	return !slices.ContainsFunc(left, func(w string) bool { return !after[w] && !slices.Contains(nestWords, w) }) && !hasWord(req, "cake", "pan", "oven", "fridge", "shop")
}

// nestWords are where eggs are found.
var nestWords = []string{"nest", "nests", "box", "boxes", "coop", "henhouse", "house", "ark", "run", "shed", "barn", "hedge", "straw", "hay", "bush", "under", "behind", "out", "up", "top", "bottom", "field", "pen", "nesting", "hidden", "stable", "manger", "nettles"}

// plainEggs takes a plain line only when the whole of it tells of eggs.
func plainEggs(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || asksOrDoubts(req) && !shouldBe(req) || !placedOnly(req, strangers(req, eggWords...)) || len(talliesOf(req)) == 0 {
		return false
	}
	if hasWord(req, "set", "incubator", "broody", "hatched") && !hasWord(req, "aside", "back") || hasWord(req, "or") && len(talliesOf(req)) < 2 {
		return false // eggs to hatch are another matter
	}
	if hasWord(req, "for") && !hasWord(req, asideWords...) || hasWord(req, "with") && !hasWord(req, slices.Concat(brokenWords, breakers)...) {
		return false
	}
	if !strings.Contains(req.Form, "egg") && !slices.ContainsFunc(termsOf(req, "livestock"), func(t phrase.Term) bool { return laysEggs(t.Name) }) && len(termsOf(req, "herds")) == 0 {
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
		if !ok {
			n = -1
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
		case w == "broke" && end == len(req.Reading.Tokens): // 2 eggs broke
			return broken
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
	return hasWord(req, "not", "correction", "correct", "miscounted", "actually", "meant", "mean", "wrong", "mistake", "instead", "nope", "sorry") || word(req, 0) == "no" || hasWord(req, "should") && hasWord(req, "be") ||
		hasWord(req, "make") && hasWord(req, "that", "it")
}

// eggs writes a collection down, or mends one.
func eggs(req *desk.Request) (desk.Reply, error) {
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	told := talliesOf(req)
	if len(told) == 0 && len(strangers(req, "eggs")) == 0 {
		return eggsAsked(req)
	}
	if reply := uncounted(req, told, reminders.Day(when)); reply.Head != "" {
		return reply, nil
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	day := reminders.Day(when)
	switch {
	case corrects(req):
		return mend(req, b, day, told)
	case !slices.ContainsFunc(told, func(t tally) bool { return t.role != broken && t.role != aside }):
		return fromCollected(req, b, day, told)
	case hasWord(req, "altogether", "total") || hasWord(req, "in") && word(req, len(req.Reading.Tokens)-1) == "all":
		return inAll(req, b, when, told)
	}
	found, reply := b.collections(req, day, told)
	if reply.Head != "" {
		return reply, nil
	}
	if reply, err := toldTwice(req, found); err != nil || reply.Head != "" {
		return reply, err
	}
	if reply, err := b.tooMany(req, day, found, 0); err != nil || reply.Head != "" {
		return reply, err
	}
	return collect(req, b, when, found)
}

// uncounted asks about what is no number of eggs.
func uncounted(req *desk.Request, told []tally, day time.Time) desk.Reply {
	example := "How many eggs? For example: eggs 14"
	switch {
	case len(told) == 0:
		return desk.AskBack(example)
	case len(req.Reading.Of(phrase.KindDate)) > 1, len(told) > 1 && len(req.Reading.Of(phrase.KindDate)) == 1 && hasWord(req, "this") && len(req.Reading.Of(phrase.KindPart)) > 0:
		return desk.AskBack("One day in a line, please. For example: eggs yesterday 14")
	case slices.ContainsFunc(told, func(t tally) bool { return t.n < 0 || t.n > mostEggs }):
		return desk.AskBack("Eggs come whole. " + example)
	case hasWord(req, "or") && len(told) > 1:
		return desk.AskBack("Which of them? "+example, desk.Button(onlyEggs(req, day, storage.Eggs{Laid: told[0].n})), desk.Button(onlyEggs(req, day, storage.Eggs{Laid: told[1].n})))
	case hasWord(req, "kg", "g", "lb", "oz", "litres"):
		return desk.AskBack("Eggs are counted here, not weighed. " + example)
	}
	for _, t := range termsOf(req, "livestock") {
		if !laysEggs(t.Name) {
			k, _ := beastNamed(t.Name)
			return desk.AskBack(fmt.Sprintf("Eggs from %s? %s", k.plural, example))
		}
	}
	return desk.Reply{}
}

// tooMany asks about more eggs of a day than there are hens to lay them.
func (b book) tooMany(req *desk.Request, day time.Time, found []storage.Eggs, less int) (desk.Reply, error) {
	if hasWord(req, "sure", "really") {
		return desk.Reply{}, nil
	}
	for _, e := range found {
		hens := b.layersOn(e.Kind, day)
		if hens == 0 {
			continue
		}
		total, err := req.Tx.LaidOn(req.House.ID, day, e.Kind)
		if err != nil {
			return desk.Reply{}, err
		}
		if sum := total.Laid + e.Laid - less; sum > hens {
			return desk.AskBack(fmt.Sprintf("%s of one day from %s? If that is right, say: %s sure. If it is the day's total: %s in all", eggsOf(sum, e.Kind), b.counted(e.Kind, hens), req.Text, onlyEggs(req, day, e)),
				desk.Labelled("It is right", req.Text+" sure"), desk.Labelled("The day's total", onlyEggs(req, day, e)+" in all")), nil
		}
	}
	return desk.Reply{}, nil
}

// onlyEggs types a collection again, with its day and kind of bird.
func onlyEggs(req *desk.Request, day time.Time, e storage.Eggs) string {
	said := ""
	switch days(day, dayOf(req)) {
	case 0:
	case 1:
		said = " yesterday"
	default:
		said = " " + day.Format(time.DateOnly)
	}
	if e.Kind == "hen" || e.Kind == "" {
		return fmt.Sprintf("eggs%s %d", said, e.Laid)
	}
	return fmt.Sprintf("eggs%s %d %s", said, e.Laid, eggItem(e.Kind))
}

// inAll sets the total of a day: what was not told before is a collection of its own.
func inAll(req *desk.Request, b book, when time.Time, told []tally) (desk.Reply, error) {
	found, reply := b.collections(req, reminders.Day(when), told)
	if reply.Head != "" {
		return reply, nil
	}
	total, err := req.Tx.LaidOn(req.House.ID, found[0].Day, found[0].Kind)
	if err != nil {
		return desk.Reply{}, err
	}
	more := found[0].Laid - total.Laid
	if more < 0 {
		return mend(req, b, found[0].Day, []tally{{found[0].Laid, laid, phrase.Term{}}, {total.Laid, wrong, phrase.Term{}}})
	}
	if more == 0 {
		return desk.Answer(fmt.Sprintf("%s %s, as written down.", eggsOf(total.Laid, found[0].Kind), onDay(req, found[0].Day))), nil
	}
	found[0].Laid = more
	if reply, err := b.tooMany(req, found[0].Day, found[:1], 0); err != nil || reply.Head != "" {
		return reply, err
	}
	return collect(req, b, when, found[:1])
}

// recent is how many days back eggs may have been collected of which some break or are
// set aside now.
const recent = 10

// fromCollected takes eggs that broke, or that are set aside to hatch, out of those that
// were collected.
func fromCollected(req *desk.Request, b book, day time.Time, told []tally) (desk.Reply, error) {
	kind, _ := b.layers(told[0].group)
	n := map[role]int{}
	for _, t := range told {
		n[t.role] += t.n
	}
	rows, sound, err := soundEggs(req, day, kind)
	if err != nil {
		return desk.Reply{}, err
	}
	if n[broken]+n[aside] > sound {
		return desk.AskBack(fmt.Sprintf("Only %s of the last days are written down. How many were it?", eggsOf(sound, kind))), nil
	}
	text := ""
	if n[broken] > 0 {
		text = eggsOf(n[broken], kind) + " broken"
	}
	if n[aside] > 0 {
		text = strings.TrimPrefix(text+", ", ", ") + eggsOf(n[aside], kind) + " set aside to hatch"
	}
	if err := req.Record(storage.Entry{Kind: "eggs", Happened: at(req, whenOf(req, day)), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for i := range rows {
		free := rows[i].Laid - rows[i].Broken - rows[i].Aside
		bad := min(free, n[broken])
		keep := min(free-bad, n[aside])
		if bad+keep == 0 {
			continue
		}
		rows[i].Broken, rows[i].Aside = rows[i].Broken+bad, rows[i].Aside+keep
		n[broken], n[aside] = n[broken]-bad, n[aside]-keep
		if err := req.Tx.SaveEggs(rows[i]); err != nil {
			return desk.Reply{}, err
		}
		if _, err := unstockEggs(req, kind, bad+keep); err != nil {
			return desk.Reply{}, err
		}
	}
	if strings.Contains(text, "aside") {
		return desk.Answer(desk.Upper(text)+".", "Best within 7 days, at 55 to 65 F (13 to 18 C), large end up, not washed. When they are set: hatch 12 eggs"), nil
	}
	return desk.Quietly(desk.Upper(text) + "."), nil
}

// soundEggs are the collections of the last days, the last first, with how many sound
// eggs they hold.
func soundEggs(req *desk.Request, day time.Time, kind string) ([]storage.Eggs, int, error) {
	var out []storage.Eggs
	n := 0
	for back := range recent {
		all, err := req.Tx.EggsOn(req.House.ID, day.AddDate(0, 0, -back))
		if err != nil {
			return nil, 0, err
		}
		for _, e := range slices.Backward(all) {
			if e.Kind == kind {
				out, n = append(out, e), n+e.Laid-e.Broken-e.Aside
			}
		}
	}
	return out, n, nil
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
	if !req.Direct && len(req.Reading.Tokens) == 2 { // "no eggs" may be of the fridge
		return bareNone(req, found[0])
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

// bareNone asks about "no eggs" where eggs were counted the day before and not yet today;
// elsewhere it is talk.
func bareNone(req *desk.Request, e storage.Eggs) (desk.Reply, error) {
	before, err := req.Tx.LaidOn(req.House.ID, e.Day.AddDate(0, 0, -1), e.Kind)
	if err != nil {
		return desk.Reply{}, err
	}
	today, err := req.Tx.LaidOn(req.House.ID, e.Day, e.Kind)
	if err != nil || before.Collections == 0 || today.Collections > 0 {
		return desk.Reply{}, cmp.Or(err, error(desk.ErrSilent))
	}
	return desk.AskBack("No eggs laid today? Then it counts as a day with none.", desk.Button("no eggs today")), nil
}

// most eggs that one collection of a household holds.
const mostEggs = 20_000

// collections turns the numbers of a line into collections of a day, one a group.
func (b book) collections(req *desk.Request, day time.Time, told []tally) ([]storage.Eggs, desk.Reply) {
	var out []storage.Eggs
	for _, t := range told {
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
	return (hasWord(req, "and") || hasWord(req, "plus") || strings.Contains(req.Text, "+") || strings.Contains(req.Text, "&")) && !hasWord(req, "them", "which", "were", "was", "are")
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
	last, ok, err := req.Tx.LastEggs(req.House.ID)
	if err != nil || !ok {
		return desk.Reply{}, err
	}
	same := last.Day.Equal(found[0].Day) && last.Laid == found[0].Laid && last.Kind == found[0].Kind && last.Herd == found[0].Herd && last.Person != found[0].Person
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
		if found[i], err = stockEggs(req, found[i]); err != nil {
			return desk.Reply{}, err
		}
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
		head += ", " + strings.TrimPrefix(onDay(req, day), "on ")
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
	if reply, err := b.tooMany(req, day, []storage.Eggs{{Kind: all[i].Kind, Laid: right}}, before); err != nil || reply.Head != "" {
		return reply, err
	}
	if err := req.Record(storage.Entry{Kind: "eggs", Happened: at(req, whenOf(req, day)), Text: fmt.Sprintf("%s instead of %d", eggsOf(right, all[i].Kind), before)}); err != nil {
		return desk.Reply{}, err
	}
	all[i].Laid = right
	all[i].Broken, all[i].Aside = min(all[i].Broken, right), min(all[i].Aside, right)
	if err := req.Tx.SaveEggs(all[i]); err != nil {
		return desk.Reply{}, err
	}
	if all[i].Lot != 0 {
		if err := req.Tx.GrowLot(all[i].Lot, float64(right-before)); err != nil {
			return desk.Reply{}, err
		}
	}
	if err := b.takeBack(req, all[i].Kind, day); err != nil {
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
