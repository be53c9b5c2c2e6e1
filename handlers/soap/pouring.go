package soap

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

// A pour is gone through in order: everything is weighed and made ready and ticked
// while hands are clean, then the lye is opened and the room roped off, and from
// then on the phone stays away and the bells do the asking.

// lookAfter is when the one who pours is first asked after the lye was opened.
const lookAfter = 10 * time.Minute

// check is one thing to tick before lye is opened.
type check struct {
	key   string
	text  string
	ready bool // not a weight: protection, place, people
}

// checks are what has to be ticked for a recipe, in the order of work.
func (k kept) checks(req *desk.Request) []check {
	scale := req.Scale()
	var out []check
	weigh := func(key, text string) { out = append(out, check{key: key, text: text}) }
	for _, f := range k.Fats {
		weigh(f.Name, scale.Nearest(f.Grams)+" "+f.Name)
	}
	if k.Water > 0 {
		weigh("water", scale.Nearest(k.Water)+" water")
	}
	for _, e := range k.additions() {
		weigh(e.Name, e.say(req))
	}
	if k.Lye > 0 {
		weigh("lye", scale.Down(k.Lye)+" lye, tin shut again")
	}
	if k.Potash > 0 {
		weigh("potassium", scale.Down(k.Potash)+" potassium hydroxide, tin shut again")
	}
	return append(out,
		check{"gloves", "goggles, gloves, long sleeves and closed shoes on", true},
		check{"place", "window open, running water within a few steps, mould and tools laid out", true},
		check{"out", "children and animals out of the room", true})
}

// readyHolds is how long a tick of what is made ready counts: goggles come off, and
// children come back in. What is weighed stays weighed.
const readyHolds = time.Hour

// tick is how a check is kept when it is ticked; one that grows old keeps when.
func (c check) tick(now time.Time) string {
	if !c.ready {
		return c.key
	}
	return c.key + " " + now.UTC().Format(time.RFC3339)
}

// ticked reports a check that is ticked and still counts.
func ticked(req *desk.Request, p storage.Pouring, c check) bool {
	if !c.ready {
		return slices.Contains(p.Done, c.key)
	}
	return slices.ContainsFunc(p.Done, func(done string) bool {
		key, when, _ := strings.Cut(done, " ")
		at, err := time.Parse(time.RFC3339, when)
		return key == c.key && err == nil && req.Now.Sub(at) <= readyHolds
	})
}

func pouringAsks() []desk.Ask {
	card := []string{"lye 900 g tallow 300 g coconut"}
	begun := append(slices.Clone(card), "batch begin")
	ticked := append(slices.Clone(begun), "tick weighed", "tick ready")
	return []desk.Ask{
		{
			Name: "pouring", Command: "batch", Adult: true, Text: true, Help: "go through a pour in order: weigh, make ready, open the lye, pour, all clear",
			Forms:    []string{"^batch begin", "^begin weighing", "^start|begin a|the|pouring batch|soap|pour", "^begin|start pouring", "^where were we with the soap", "^go on with the soap|pour|batch"},
			Examples: []desk.Example{{Setup: card, Line: "batch begin"}, {Setup: begun, Line: "begin weighing"}},
			Plain: func(req *desk.Request) bool {
				_, open, err := req.Tx.PouringNow(req.House.ID)
				_, _, carded, cerr := waitingCard(req)
				return err == nil && cerr == nil && (open || carded || strings.HasPrefix(req.Form, "^batch"))
			},
			Do: begin,
		},
		{
			Name: "pouring", Command: "tick", Adult: true, Text: true, Help: "tick what is weighed or ready before the lye is opened",
			Forms:    []string{"^tick|ticked", "^weighed", "^all weighed", "^all ready"},
			Examples: []desk.Example{{Setup: begun, Line: "tick beef tallow"}, {Setup: begun, Line: "weighed the water"}, {Setup: begun, Line: "tick weighed"}, {Setup: begun, Line: "tick ready"}},
			Plain:    plainTick, Do: tick,
		},
		{
			Name: "pouring", Command: "batch", Adult: true, Help: "open the lye: the room is roped off and told to all",
			Forms: []string{"^batch open", "^open the lye", "^lye open", "^opening the lye", "^about|going to open the lye", "^i'm|im opening the lye", "^i'm|im about|going to open the lye"}, Fill: []string{"now", "yes", "the", "children", "kids", "are", "watched"},
			Examples: []desk.Example{{Setup: ticked, Line: "batch open"}, {Setup: ticked, Line: "open the lye"}},
			Plain: func(req *desk.Request) bool {
				_, open, err := req.Tx.PouringNow(req.House.ID)
				return err == nil && (open || req.Form != "^lye open")
			},
			Do: open,
		},
		{
			Name: "pouring", Command: "batch", Adult: true, Help: "drop the pour that is under way",
			Forms: []string{"^batch drop", "^drop the pour|batch"}, Examples: []desk.Example{{Setup: begun, Line: "batch drop"}},
			Plain: plainTick, Do: drop,
		},
	}
}

// plainTick takes a plain word from the one who pours only: "all ready" is said at
// the supper table too.
func plainTick(req *desk.Request) bool {
	p, under, err := req.Tx.PouringNow(req.House.ID)
	return err == nil && under && p.Person == req.Who.ID
}

// begin starts a pour from the last card, or shows where the one under way stands.
func begin(req *desk.Request) (desk.Reply, error) {
	p, open, err := req.Tx.PouringNow(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if open && (!p.Opened.IsZero() || req.Now.Sub(p.Began) < cardLasts) {
		return goOn(req, p)
	}
	k, c, ok, err := waitingCard(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if !ok {
		return desk.AskBack("Which recipe? There is no card to pour from. Ask for one first: lye 900 g tallow 300 g coconut"), nil
	}
	return beginWith(req, k, c.Recipe)
}

// goOn shows where the pour under way stands, unless there is a newer card: then it
// is asked which of the two is meant.
func goOn(req *desk.Request, p storage.Pouring) (desk.Reply, error) {
	if req.Mentions("on", "where") {
		return standing(req, p, "")
	}
	k, text, newer, err := newerCard(req, p)
	if err != nil {
		return desk.Reply{}, err
	}
	if !newer {
		return standing(req, p, "")
	}
	if req.Mentions("anew") && p.Opened.IsZero() {
		return beginWith(req, k, text)
	}
	return twoRecipes(req, p, k, "go on with the pour", "batch begin anew")
}

// newerCard is a card made since a pour began, of another recipe.
func newerCard(req *desk.Request, p storage.Pouring) (kept, string, bool, error) {
	c, ok, err := req.Tx.LastCard(req.House.ID, req.Who.Name, p.Began)
	if err != nil || !ok || c.Recipe == p.Recipe {
		return kept{}, "", false, err
	}
	k, err := readKept(c.Recipe)
	return k, c.Recipe, err == nil, err
}

// twoRecipes asks which recipe is meant, with a line for each.
func twoRecipes(req *desk.Request, p storage.Pouring, newer kept, old, fresh string) (desk.Reply, error) {
	under, err := readKept(p.Recipe)
	if err != nil {
		return desk.Reply{}, err
	}
	reply := desk.AskBack(fmt.Sprintf("A pour is under way, and there is a newer card. Which one? The pour: %s. The card: %s.", under.say(req), newer.say(req)),
		desk.Labelled("The pour under way", old))
	if p.Opened.IsZero() || fresh != "batch begin anew" {
		reply.Buttons = append(reply.Buttons, desk.Labelled("The newer card", fresh))
	}
	return reply, nil
}

func beginWith(req *desk.Request, k kept, text string) (desk.Reply, error) {
	p := storage.Pouring{Recipe: text, Person: req.Who.ID, Room: knownRoom(req, "kitchen"), Began: req.Now}
	if err := req.Record(storage.Entry{Kind: "pouring", About: "pouring", Text: "began a pour: " + k.say(req)}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SavePouring(req.House.ID, p); err != nil {
		return desk.Reply{}, err
	}
	reply, err := standing(req, p, "")
	if err != nil {
		return reply, err
	}
	before, err := comesRound(req, k)
	reply.Lines = append(before, reply.Lines...)
	return reply, err
}

// standing shows what is ticked and what is still to do.
func standing(req *desk.Request, p storage.Pouring, head string) (desk.Reply, error) {
	reply, err := stands(req, p, head)
	if err != nil {
		return reply, err
	}
	return withAsked(req, reply)
}

// withAsked adds the question whether a child is at home while it is not answered.
func withAsked(req *desk.Request, reply desk.Reply) (desk.Reply, error) {
	asked, answers, err := req.NotAnswered()
	if err != nil || asked == "" {
		return reply, err
	}
	reply.Lines = append([]string{asked}, reply.Lines...)
	reply.Buttons = append(reply.Buttons, answers...)
	return reply, nil
}

func stands(req *desk.Request, p storage.Pouring, head string) (desk.Reply, error) {
	k, err := readKept(p.Recipe)
	if err != nil {
		return desk.Reply{}, err
	}
	all := k.checks(req)
	todo := slices.DeleteFunc(slices.Clone(all), func(c check) bool { return ticked(req, p, c) })
	if _, open, err := lyeOpen(req); err != nil || open {
		out := desk.Answer(fmt.Sprintf("The lye is open since %s, in the %s. Say poured when it is in the mould.", req.Say(p.Opened), p.Room))
		out.Buttons = []storage.Button{desk.Labelled("Poured", "poured"), desk.Labelled("Drop it", "batch drop")}
		return out, err
	}
	if len(todo) == 0 {
		out := desk.Answer("All weighed and ready. Open the lye when you are: the " + p.Room + " is then roped off and told to all.")
		out.Lines = []string{"From then on no phone in gloved hands: I do the asking. Say all clear only with washed hands."}
		out.Buttons = []storage.Button{desk.Labelled("Open the lye", "batch open"), desk.Labelled("Drop it", "batch drop")}
		return out, nil
	}
	if head == "" {
		head = fmt.Sprintf("%d of %d ticked. Lye stays shut until all are.", len(all)-len(todo), len(all))
	}
	out := desk.Answer(head)
	weights, ready := false, false
	for _, c := range todo {
		out.Lines = append(out.Lines, "to do: "+c.text)
		out.Buttons = append(out.Buttons, desk.Labelled(desk.Upper(c.key), "tick "+c.key))
		weights, ready = weights || !c.ready, ready || c.ready
	}
	if weights {
		out.Buttons = append(out.Buttons, desk.Labelled("All weighed", "tick weighed"))
	}
	if ready {
		out.Buttons = append(out.Buttons, desk.Labelled("All ready", "tick ready"))
	}
	out.Cautions = []string{"Read every weight twice. Lye and fats are weighed, never measured by spoon."}
	return out, nil
}

// tick notes what is weighed or ready.
func tick(req *desk.Request) (desk.Reply, error) {
	p, open, err := req.Tx.PouringNow(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if !open {
		return desk.AskBack("No pour is under way. Begin one from a card: batch begin"), nil
	}
	k, err := readKept(p.Recipe)
	if err != nil {
		return desk.Reply{}, err
	}
	found := ticksSaid(req, k.checks(req))
	if len(found) == 0 {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return standing(req, p, "Which of these?")
	}
	var texts []string
	for _, c := range found {
		if !ticked(req, p, c) {
			p.Done = append(p.Done, c.tick(req.Now))
			texts = append(texts, c.text)
		}
	}
	if len(texts) == 0 {
		return standing(req, p, "Ticked already.")
	}
	if err := req.Record(storage.Entry{Kind: "pouring", About: "pouring", Text: "ticked " + strings.Join(texts, "; ")}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SavePouring(req.House.ID, p); err != nil {
		return desk.Reply{}, err
	}
	return standing(req, p, "")
}

// ticksSaid are the checks that a line names: by a word of theirs, or all weights,
// or all that is to be made ready.
func ticksSaid(req *desk.Request, all []check) []check {
	low := " " + strings.Join(phrase.Words(req.Text), " ") + " "
	says := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(low, " "+w+" ") })
	}
	kind := func(ready bool) []check {
		return slices.DeleteFunc(slices.Clone(all), func(c check) bool { return c.ready != ready })
	}
	switch {
	case says("all weighed", "tick weighed", "ticked weighed", "weighed all", "weighed everything"):
		return kind(false)
	case says("all ready", "tick ready", "ticked ready"):
		return kind(true)
	}
	var out []check
	for _, c := range all {
		if says(strings.Join(phrase.Words(c.key), " ")) {
			out = append(out, c)
			continue
		}
		if name, ok := fatSaid(req, low); ok && name == c.key {
			out = append(out, c)
		}
	}
	return out
}

// fatSaid finds a fat in "weighed the tallow".
func fatSaid(req *desk.Request, low string) (string, bool) {
	fats, err := fatsOf(req.Tx, req.House.ID)
	if err != nil {
		return "", false
	}
	words := strings.Fields(low)
	for n := min(3, len(words)); n > 0; n-- {
		for i := 0; i+n <= len(words); i++ {
			if name, ok := fats.Exact(strings.Join(words[i:i+n], " ")); ok {
				return name, true
			}
		}
	}
	return "", false
}

// open opens the lye, when all is ticked.
func open(req *desk.Request) (desk.Reply, error) {
	p, under, err := req.Tx.PouringNow(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if !under {
		return desk.AskBack("No pour is under way, and nothing is roped off by it. Begin one from a card, or close the room alone.",
			desk.Button("batch begin"), desk.Button("rope off the kitchen")), nil
	}
	k, err := readKept(p.Recipe)
	if err != nil {
		return desk.Reply{}, err
	}
	if _, is, err := lyeOpen(req); err != nil || is {
		if err != nil {
			return desk.Reply{}, err
		}
		return standing(req, p, "")
	}
	for _, c := range k.checks(req) {
		if !ticked(req, p, c) {
			reply, err := standing(req, p, "Not yet: keep the lye shut until all is ticked.")
			reply.Status = storage.Refused
			return reply, err
		}
	}
	home, err := homeWhile(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(home) > 0 && !req.Mentions("watched") {
		return withAsked(req, askWatched(req, p, home))
	}
	watched := ""
	if len(home) > 0 {
		watched = fmt.Sprintf("%s, and somebody is with %s", req.SayAtHome(home), desk.Them(namesAtHome(home)))
	}
	p.Opened = req.Now
	if err := req.Record(storage.Entry{Kind: "pouring", About: "pouring", Text: strings.TrimSuffix("opened the lye in the "+p.Room+"; "+watched, "; ")}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SavePouring(req.House.ID, p); err != nil {
		return desk.Reply{}, err
	}
	if err := lookBell(req); err != nil {
		return desk.Reply{}, err
	}
	if err := ropeRoom(req, p.Room, whyLye); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("Roped off. Lye into the %s now, a little at a time. Put the phone away: I ring at %s.", k.liquidName(), req.WallOf(req.Now.Add(lookAfter)).Format("15:04")))
	if watched != "" {
		out.Lines = []string{watched + ": out of the " + p.Room + " until the all clear."}
	}
	out.Buttons = []storage.Button{desk.Labelled("Poured", "poured"), desk.Labelled("Burn", "help burn")}
	out.Cautions = cautions
	return out, nil
}

// askWatched asks, once and before the lye is open, about children who are at home by the
// day, or come home while it is.
func askWatched(req *desk.Request, p storage.Pouring, home []desk.AtHome) desk.Reply {
	return desk.AskBack(fmt.Sprintf("%s. Is somebody with %s, out of the %s?", desk.Upper(req.SayAtHome(home)), desk.Them(namesAtHome(home)), p.Room),
		desk.Labelled("Yes, open", "batch open, the children are watched"), desk.Labelled("Not now", "go on with the pour"))
}

func (k kept) liquidName() string {
	if k.Liquid != nil && k.Water < 0.5 {
		return k.Liquid.Name
	}
	return "water"
}

// lookBell asks the one who pours to look at the lye. It is a safety bell, over
// when it is poured or all clear.
func lookBell(req *desk.Request) error {
	_, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "look at the lye", Hint: "All dissolved and clear, no grains? Then let it cool; with two readings: " + coolingExample(req),
		Whom: reminders.People(req.Who.ID), Next: req.Now.Add(lookAfter), Elapsed: true, Safety: true, Useful: 4 * time.Hour, Subject: "pouring", Why: "lye is open", Made: req.Now,
	})
	return err
}

// coolingExample is a line that works, in the household's degrees.
func coolingExample(req *desk.Request) string {
	if req.House.US {
		return "cooling lye 183 then 144 after 25 min, room 66"
	}
	return "cooling lye 84 then 62 after 25 min, room 19"
}

// drop gives a pour up. A room that was roped off stays so until all clear.
func drop(req *desk.Request) (desk.Reply, error) {
	p, under, err := req.Tx.PouringNow(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if !under {
		return desk.AskBack("No pour is under way."), nil
	}
	if err := req.Record(storage.Entry{Kind: "pouring", About: "pouring", Text: "dropped the pour"}); err != nil {
		return desk.Reply{}, err
	}
	_, open, err := lyeOpen(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer("Dropped: nothing was poured.")
	if open {
		out.Lines = []string{"The lye was open: the " + p.Room + " stays roped off until a keeper says all clear."}
		out.Buttons = []storage.Button{desk.Labelled("All clear", "allclear")}
	}
	return out, endPouring(req)
}

// endPouring forgets the pour under way and stops its bells.
func endPouring(req *desk.Request) error {
	if err := endLyeBells(req); err != nil {
		return err
	}
	return req.Tx.EndPouring(req.House.ID)
}

// endLyeBells stops what rings about lye that stands open, to be looked at or to
// cool: it is in the soap now, or put away.
func endLyeBells(req *desk.Request) error {
	for _, subject := range []string{"pouring", "cooling"} {
		if err := endBells(req, subject); err != nil {
			return err
		}
	}
	return nil
}

func endBells(req *desk.Request, subject string) error {
	bells, err := req.Tx.SubjectBells(req.House.ID, subject)
	if err != nil {
		return err
	}
	for _, b := range bells {
		if b.Stopped {
			continue
		}
		if err := closeBell(req, b, req.Now); err != nil {
			return err
		}
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return err
		}
	}
	return nil
}

// pouringRecipe is the recipe of the pour under way, as long as a card would last
// or its lye is open.
func pouringRecipe(req *desk.Request) (kept, bool, error) {
	p, under, err := req.Tx.PouringNow(req.House.ID)
	if err != nil || !under || p.Opened.IsZero() && req.Now.Sub(p.Began) > cardLasts {
		return kept{}, false, err
	}
	k, err := readKept(p.Recipe)
	return k, true, err
}
