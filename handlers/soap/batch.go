package soap

import (
	"fmt"
	"strings"
	"time"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

const (
	// cardLasts is how long a card is what its person speaks of.
	cardLasts = 24 * time.Hour
	// cardWaits is how long a card that nobody poured is open work, and can be poured from
	// by "batch" alone.
	cardWaits = 14 * 24 * time.Hour
)

// openLye is how long after a pour told late lye is taken to be still open.
const openLye = 2 * time.Hour

// pour writes a batch down, from the line itself or from the last card, ropes
// the room off and sets the bells of the cure.
func pour(req *desk.Request) (desk.Reply, error) {
	if planned(req) {
		return desk.AskBack("Is it poured? Say so when it is: poured; or on a day that has been: poured yesterday at 4pm"), nil
	}
	when := req.Reading.Moment(req.Context(), phrase.Past)
	poured := req.Now
	if when.Count > 0 {
		poured = req.Instant(when.Wall)
	}
	if poured.After(req.Now) {
		return desk.AskBack(fmt.Sprintf("%s has not come yet. When was it poured?", req.Say(poured))), nil
	}
	if reply, no := dayToCome(req); no {
		return reply, nil
	}
	if things := req.Reading.Of(phrase.KindThing); len(things) > 0 && things[0].Value.(phrase.Thing).Noun == "batch" {
		if req.Mentions("poured", "pour") {
			return pouredAlready(req)
		}
		return about(req)
	}
	name, strange := batchName(req)
	if len(strange) > 0 {
		if !req.Direct && len(req.Reading.Terms("fats")) == 0 {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack(fmt.Sprintf("I do not know %s in %s.", desk.Quote(strings.Join(strange, " ")), desk.Quote(req.Text))), nil
	}
	if poursSomethingElse(req) {
		return desk.AskBack("Was that soap? Say poured alone for the last card, or name the fats and the lye: poured 1200 g lard 160 g lye 456 g water"), nil
	}
	k, reply, err := pourRecipe(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if reply, err = writeBatch(req, k, name, poured, when); err != nil {
		return reply, err
	}
	if req.Now.Sub(poured) > openLye {
		reply.Assumed = append(reply.Assumed, "the lye is put away, since it was poured "+reminders.SayDuration(req.Now.Sub(poured))+" ago")
		return reply, nil
	}
	return ropeWith(req, reply)
}

// pouredAlready answers "batch 1 is poured": a number names a batch that stands,
// and is never a new pour.
func pouredAlready(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := find(req, func(storage.Batch) (bool, error) { return false, nil })
	if err != nil || !ok {
		return reply, err
	}
	lines, err := stepLines(req, b)
	return desk.Answer(fmt.Sprintf("%s was poured %s. A new pour needs no number: poured.", heading(b), req.Say(b.Poured)), lines...), err
}

// batchName takes the words after "called" as the name; other words that nobody
// knows are strange.
func batchName(req *desk.Request) (name string, strange []string) {
	called := -1
	for i, t := range req.Reading.Tokens {
		if t.Low == "called" || t.Low == "named" {
			called = i
		}
	}
	if called < 0 {
		for _, t := range req.Reading.Unknown {
			strange = append(strange, t.Text)
		}
		return "", strange
	}
	at := req.Reading.Tokens[called].End
	for _, t := range req.Reading.Unknown {
		if t.Start < at {
			strange = append(strange, t.Text)
		}
	}
	covered := func(i int) bool {
		for _, s := range req.Reading.Spans {
			if s.Kind != phrase.KindTerm && i >= s.First && i < s.Past {
				return true
			}
		}
		return false
	}
	var words []string
	for i := called + 1; i < len(req.Reading.Tokens) && !covered(i); i++ {
		if t := req.Reading.Tokens[i]; t.Kind == phrase.Word || t.Kind == phrase.Num {
			words = append(words, t.Text)
		}
	}
	return strings.Join(words, " "), strange
}

// pourRecipe returns what was poured. A reply with a head says why it cannot be
// written yet.
func pourRecipe(req *desk.Request) (kept, desk.Reply, error) {
	if len(req.Reading.Of(phrase.KindQuantity)) > 0 || len(req.Reading.Terms("fats")) > 0 {
		return pouredLine(req)
	}
	if k, under, err := pouringRecipe(req); err != nil || under {
		if err != nil {
			return k, desk.Reply{}, err
		}
		reply, err := askWhichPour(req, k)
		return k, reply, err
	}
	k, c, ok, err := waitingCard(req)
	if err != nil {
		return kept{}, desk.Reply{}, fmt.Errorf("card of %s: %w", c.By, err)
	}
	if !ok && cardAside(req) {
		return kept{}, desk.AskBack("What was poured? The last recipe has no card: it was refused, or not clear. Write it in one line: poured 1200 g lard 160 g lye 456 g water"), nil
	}
	if !ok {
		if !req.Direct && !strings.Contains(strings.ToLower(req.Text), "soap") {
			return kept{}, desk.Reply{}, desk.ErrSilent
		}
		return kept{}, desk.AskBack("Which recipe was poured? There is no card to pour from. Ask for one first, or write it in one line: poured 1200 g lard 160 g lye 456 g water",
			desk.Labelled("Examples", "help batch")), nil
	}
	return k, desk.Reply{}, nil
}

// askWhichPour asks about a pour under way when there is a newer card: each button
// is the pour in one line.
func askWhichPour(req *desk.Request, under kept) (desk.Reply, error) {
	p, _, err := req.Tx.PouringNow(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	newer, _, is, err := newerCard(req, p)
	if err != nil || !is {
		return desk.Reply{}, err
	}
	old, err := under.pouredAs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	fresh, err := newer.pouredAs(req)
	if err != nil {
		return desk.Reply{}, err
	}
	return twoRecipes(req, p, newer, old, fresh)
}

// pouredAs is the line that writes a recipe down as poured.
func (k kept) pouredAs(req *desk.Request) (string, error) {
	r, err := recipeOf(req, k, 1)
	r.soda, r.potash, r.poured = k.Lye, k.Potash, true
	if k.Confirmed {
		return r.line(wordConfirm), err
	}
	return r.line(), err
}

func pouredLine(req *desk.Request) (kept, desk.Reply, error) {
	r, err := readRecipe(req)
	if reply, ok := statusOf(err); ok {
		return kept{}, reply, nil
	}
	if err != nil {
		return kept{}, desk.Reply{}, err
	}
	if len(r.fats) == 0 {
		return kept{}, desk.AskBack("Which fats were poured, and how much of each?"), nil
	}
	if !r.given() || r.blend {
		return kept{}, desk.AskBack("How much lye went in? Name it with the fats: poured 1200 g lard 160 g lye 456 g water",
			desk.Labelled("Work it out", r.line("superfat "+short(r.superfat)))), nil
	}
	r.poured = true
	reply, k, err := r.weighOut(req)
	if err != nil || reply.Status != storage.OK {
		return kept{}, r.ifPoured(req, reply), err
	}
	return k, desk.Reply{}, nil
}

// ifPoured says what to do with a lye-heavy batch that stands in its mould already.
func (r recipe) ifPoured(req *desk.Request, reply desk.Reply) desk.Reply {
	grams, err := lye.FatFor(r.fats, r.alkali(), max(r.superfat, 0.05))
	more := grams - lye.TotalFat(r.fats)
	if reply.Status != storage.Refused || err != nil || len(r.acids) > 0 || more <= 0 {
		return reply
	}
	reply.Lines = append(reply.Lines,
		"If it is poured already: nobody touches it without gloves and goggles, and it is not used. Rope the room off.",
		fmt.Sprintf("Throw it out, out of reach of children and animals; or melt it down with gloves on and work in %s more of these fats, and write that down as one pour.", req.Scale().Nearest(more)))
	reply.Buttons = append(reply.Buttons, desk.Labelled("Rope off", "rope off the kitchen"), desk.Labelled("Burn", "help burn"))
	return reply
}

func writeBatch(req *desk.Request, k kept, name string, poured time.Time, when phrase.When) (desk.Reply, error) {
	text, err := k.json()
	if err != nil {
		return desk.Reply{}, err
	}
	b := storage.Batch{Household: req.House.ID, Name: name, Recipe: text, Poured: poured, PouredBy: req.Who.ID}
	next, err := nextBatch(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if err := req.Record(storage.Entry{Kind: "batch", About: fmt.Sprintf("batch:%d", next), Happened: poured, Text: "poured " + title(next, name) + ": " + k.say(req)}); err != nil {
		return desk.Reply{}, err
	}
	if b, err = req.Tx.AddBatch(b); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.UseCards(req.House.ID, b.Num); err != nil {
		return desk.Reply{}, err
	}
	if err := endPouring(req); err != nil {
		return desk.Reply{}, err
	}
	if err := setBells(req, b); err != nil {
		return desk.Reply{}, err
	}
	stock, err := takeStock(req, b, k)
	if err != nil {
		return desk.Reply{}, err
	}
	jobs, err := req.Tx.LyeDone(req.House.ID, poured)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, j := range jobs {
		stock = append(stock, "job done: "+j)
	}
	reply := desk.Answer(fmt.Sprintf("Poured %s, %s, %s.", title(b.Num, b.Name), req.Scale().Nearest(k.total()), req.Say(poured)))
	lines, err := stepLines(req, b)
	if err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = append(append([]string{k.say(req)}, lines...), stock...)
	if when.Assumed {
		reply.Assumed = append(reply.Assumed, "the time read as "+req.Say(poured))
	}
	reply.Buttons = []storage.Button{desk.Labelled("Rack", "rack"), desk.Labelled("Undo", "undo")}
	return reply, nil
}

// ropeWith ropes the kitchen off along with a pour, when it is not already. Who is at home
// is told first.
func ropeWith(req *desk.Request, reply desk.Reply) (desk.Reply, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(roped) == 0 {
		if err := closeRoom(req, "kitchen", whyLye); err != nil {
			return desk.Reply{}, err
		}
	}
	keep, err := keepOut(req, "kitchen")
	if err != nil {
		return desk.Reply{}, err
	}
	reply.Lines = append(keep, reply.Lines...)
	reply.Lines = append(reply.Lines, "The kitchen is roped off until a keeper says all clear: mould covered and out of reach, tools washed.")
	reply.Buttons = append([]storage.Button{desk.Labelled("All clear", "allclear")}, reply.Buttons...)
	return reply, nil
}

func nextBatch(req *desk.Request) (int, error) {
	all, err := req.Tx.Batches(req.House.ID)
	if err != nil || len(all) == 0 {
		return 1, err
	}
	return all[len(all)-1].Num + 1, nil
}

// title names a batch for people.
func title(num int, name string) string {
	if name == "" {
		return fmt.Sprintf("batch %d", num)
	}
	return fmt.Sprintf("batch %d %s", num, name)
}

// heading is title at the beginning of a sentence.
func heading(b storage.Batch) string { return "B" + title(b.Num, b.Name)[1:] }

// find returns the batch that a line names, by number or by name. Without a
// name, want picks among all; ok is false when reply has to be given first.
func find(req *desk.Request, want func(storage.Batch) (bool, error)) (storage.Batch, desk.Reply, bool, error) {
	all, err := req.Tx.Batches(req.House.ID)
	if err != nil {
		return storage.Batch{}, desk.Reply{}, false, err
	}
	if things := req.Reading.Of(phrase.KindThing); len(things) > 0 {
		n := things[0].Value.(phrase.Thing).N
		if things[0].Value.(phrase.Thing).Noun == "sowing" {
			return storage.Batch{}, desk.Reply{}, false, desk.ErrSilent
		}
		for _, b := range all {
			if b.Num == n {
				return b, desk.Reply{}, true, nil
			}
		}
		return storage.Batch{}, desk.AskBack(fmt.Sprintf("There is no batch %d. %s", n, have(all)), desk.Labelled("Rack", "rack")), false, nil
	}
	for _, s := range req.Reading.Terms("batches") {
		for _, b := range all {
			if b.ID == s.Value.(phrase.Term).ID {
				return b, desk.Reply{}, true, nil
			}
		}
	}
	var fit []storage.Batch
	for _, b := range all {
		ok, err := want(b)
		if err != nil {
			return storage.Batch{}, desk.Reply{}, false, err
		}
		if ok {
			fit = append(fit, b)
		}
	}
	switch len(fit) {
	case 1:
		return fit[0], desk.Reply{}, true, nil
	case 0:
		return storage.Batch{}, desk.AskBack("Which batch? "+have(all), desk.Labelled("Rack", "rack")), false, nil
	}
	reply := desk.AskBack("Which batch? " + have(fit))
	for _, b := range fit {
		reply.Buttons = append(reply.Buttons, desk.Labelled(title(b.Num, b.Name), strings.TrimSpace(req.Text)+fmt.Sprintf(" batch %d", b.Num)))
	}
	return storage.Batch{}, reply, false, nil
}

func have(all []storage.Batch) string {
	if len(all) == 0 {
		return "None has been poured yet."
	}
	var names []string
	for _, b := range all {
		names = append(names, title(b.Num, b.Name))
	}
	if len(names) > 6 {
		names = names[len(names)-6:]
	}
	return "There is " + desk.List(names) + "."
}

// freshMass is the whole mass at the pour, in grams.
func freshMass(b storage.Batch) (float64, error) {
	k, err := readKept(b.Recipe)
	return k.total(), err
}

// repour corrects when a batch was poured; what hangs on it moves.
func repour(req *desk.Request) (desk.Reply, error) {
	when := req.Reading.Moment(req.Context(), phrase.Past)
	if when.Count == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	b, reply, ok, err := find(req, func(storage.Batch) (bool, error) { return false, nil })
	if err != nil || !ok {
		return reply, err
	}
	if reply, no := dayToCome(req); no {
		return reply, nil
	}
	poured := req.Instant(when.Wall)
	if poured.After(req.Now) {
		return desk.AskBack(fmt.Sprintf("%s has not come yet. When was it poured?", req.Say(poured))), nil
	}
	if err := req.Record(storage.Entry{Kind: "batch", About: subject(b), Text: fmt.Sprintf("%s was poured %s, not %s", title(b.Num, b.Name), req.Say(poured), req.Say(b.Poured))}); err != nil {
		return desk.Reply{}, err
	}
	b.Poured = poured
	if err := req.Tx.SaveBatch(b); err != nil {
		return desk.Reply{}, err
	}
	if err := seatAnew(req, b); err != nil {
		return desk.Reply{}, err
	}
	lines, err := stepLines(req, b)
	return desk.Answer(fmt.Sprintf("%s was poured %s.", heading(b), req.Say(poured)), lines...), err
}

// maxDrawn guards a weighing against a slip of the figures: no batch weighs more
// than it did when poured.
const maxDrawn = 1.02
