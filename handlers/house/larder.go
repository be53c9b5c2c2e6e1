package house

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func larderAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}
	return []desk.Ask{
		{
			Name: "larder", Command: "larder", Help: "what is in stock", Question: true,
			Forms: []string{"^larder$", "what|what's|whats * in the larder$", "^the larder$"}, Fill: []string{"show", "list", "is", "have", "we", "got"},
			Examples: []desk.Example{{Line: "larder"}, {Setup: []string{"larder 5 kg lard"}, Line: "what's in the larder"}}, Do: larder,
		},
		{
			Name: "larder", Command: "larder", Keep: true, Text: true, Help: "put something into the larder, take it out, or say what is left",
			Forms: []string{"^larder", "^put * in|into the larder", "^took|take * from|out of the larder"}, Kinds: kinds, Needs: []desk.Need{{Kind: phrase.KindQuantity}, {Kind: phrase.KindNumber}},
			Examples: []desk.Example{
				{Line: "larder 5 kg lard lot A12 cost 18.50 from Ruth"},
				{Setup: []string{"larder 5 kg lard"}, Line: "larder took 200 g lard"},
				{Setup: []string{"larder 5 kg lard"}, Line: "larder lard is 1.2 kg"},
			},
			Do: stock,
		},
	}
}

// larder shows what is in stock.
func larder(req *desk.Request) (desk.Reply, error) {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(lots) == 0 {
		return desk.Answer("The larder's book is empty.", "Put something in: larder 5 kg lard lot A12 cost 18.50"), nil
	}
	sums := map[string]float64{}
	var names []string
	for _, l := range lots {
		key := strings.ToLower(l.Item)
		if !slices.Contains(names, key) {
			names = append(names, key)
		}
		sums[key] += l.Left
	}
	slices.Sort(names)
	out := desk.Answer("In the larder:")
	for _, name := range names {
		var codes []string
		volume := false
		for _, l := range lots {
			if strings.EqualFold(l.Item, name) {
				volume = l.Volume
				if l.Code != "" {
					codes = append(codes, l.Code)
				}
			}
		}
		line := sayStock(req, sums[name], volume) + " " + name
		if len(codes) > 0 {
			line += ", lot " + desk.List(codes)
		}
		out.Lines = append(out.Lines, line)
	}
	return out, nil
}

func sayStock(req *desk.Request, amount float64, volume bool) string {
	if volume {
		return fmt.Sprintf("%.0f mL", amount)
	}
	return req.Scale().Nearest(amount)
}

// move is what a line says about the larder.
type move struct {
	item, code, whence string
	amount             float64
	volume             bool
	cost               float64
	way                string    // in, out, is
	best               time.Time // the date on the pack, zero without one
}

// stock writes into the larder's book.
func stock(req *desk.Request) (desk.Reply, error) {
	m, reply, ok := readMove(req)
	if !ok {
		return reply, nil
	}
	if !req.Grown() && reminders.Dangerous(m.item) {
		return desk.Refuse(fmt.Sprintf("%s is not for a child: an adult writes it into the larder.", desk.Upper(m.item))), nil
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	lots = slices.DeleteFunc(lots, func(l storage.Lot) bool { return !sameThing(l.Item, m.item) || l.Volume != m.volume })
	have := 0.0
	for _, l := range lots {
		have += l.Left
	}
	switch m.way {
	case "in":
		return putIn(req, m, have)
	case "out":
		if m.amount > have {
			return desk.AskBack(fmt.Sprintf("There is only %s of %s in the larder's book. How much is left? larder %s is 0 g", sayStock(req, have, m.volume), m.item, m.item)), nil
		}
		return takeOut(req, m, lots, have, m.amount, fmt.Sprintf("took %s %s from the larder", sayStock(req, m.amount, m.volume), m.item))
	}
	if m.amount > have {
		m.amount, m.cost = m.amount-have, -1
		return putIn(req, m, have)
	}
	return takeOut(req, m, lots, have, have-m.amount, fmt.Sprintf("the larder has %s %s", sayStock(req, m.amount, m.volume), m.item))
}

func putIn(req *desk.Request, m move, have float64) (desk.Reply, error) {
	text := fmt.Sprintf("%s %s into the larder", sayStock(req, m.amount, m.volume), m.item)
	if m.code != "" {
		text += ", lot " + m.code
	}
	if !m.best.IsZero() {
		text += ", best before " + reminders.SayDay(m.best, req.Wall, req.House.DayFirst)
	}
	if err := req.Record(storage.Entry{Kind: "larder", About: "larder:" + m.item, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	lot := storage.Lot{Household: req.House.ID, Item: m.item, Code: m.code, Got: req.Now, Amount: m.amount, Left: m.amount, Volume: m.volume, Cost: m.cost, Whence: m.whence, Best: m.best}
	if _, err := req.Tx.AddLot(lot); err != nil {
		return desk.Reply{}, err
	}
	if err := bestBell(req, m); err != nil {
		return desk.Reply{}, err
	}
	bells, err := req.Tx.SubjectBells(req.House.ID, "larder:"+m.item)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, b := range bells {
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	out := fmt.Sprintf("%s: %s in the larder", desk.Upper(m.item), sayStock(req, have+m.amount, m.volume))
	if !m.best.IsZero() {
		out += ", best before " + reminders.SayDay(m.best, req.Wall, req.House.DayFirst)
	}
	return desk.Quietly(out + "."), nil
}

// beforeBest is how many days before its date a thing is rung for.
const beforeBest = 3

// bestBell rings in the morning some days before the date on a pack, once; of a date
// that is nearer or past nothing rings: what must be used first says it.
func bestBell(req *desk.Request, m move) error {
	day := m.best.AddDate(0, 0, -beforeBest)
	if m.best.IsZero() || !day.After(reminders.Day(req.Wall)) {
		return nil
	}
	_, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "use the " + m.item, Hint: "Best before " + reminders.SayDay(m.best, req.Wall, req.House.DayFirst) + ".", Whom: reminders.People(req.Who.ID), Next: reminders.RoundOn(req.House, day),
		Useful: reminders.UsefulDaily, Subject: "best:" + m.item, Why: "the date on the pack", Made: req.Now,
	})
	return err
}

// allGone stops the bells of the dates of a thing of which nothing is left.
func allGone(req *desk.Request, item string) error {
	bells, err := req.Tx.SubjectBells(req.House.ID, "best:"+item)
	if err != nil {
		return err
	}
	for _, b := range bells {
		if b.Stopped {
			continue
		}
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return err
		}
	}
	return nil
}

func takeOut(req *desk.Request, m move, lots []storage.Lot, have, amount float64, text string) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "larder", About: "larder:" + m.item, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	rest := amount
	slices.SortStableFunc(lots, func(a, b storage.Lot) int { // what goes off first is used first
		if a.Best.IsZero() != b.Best.IsZero() {
			return map[bool]int{true: 1, false: -1}[a.Best.IsZero()]
		}
		return a.Best.Compare(b.Best)
	})
	for _, l := range lots {
		take := min(rest, l.Left)
		if take <= 0 {
			continue
		}
		if err := req.Tx.AddDraw(l, 0, take); err != nil {
			return desk.Reply{}, err
		}
		rest -= take
	}
	if have-amount < 0.5 {
		if err := allGone(req, lots[0].Item); err != nil {
			return desk.Reply{}, err
		}
	}
	return desk.Quietly(fmt.Sprintf("%s: %s in the larder.", desk.Upper(m.item), sayStock(req, have-amount, m.volume))), nil
}

// sameThing forgives a plural.
func sameThing(a, b string) bool {
	a, b = strings.ToLower(a), strings.ToLower(b)
	return a == b || a+"s" == b || a == b+"s"
}

// Parts of a line about the larder: what stands behind each of these words belongs
// to it, as far as the next one.
var larderParts = map[string]string{"lot": "lot", "from": "from", "cost": "cost", "costs": "cost", "for": "cost", "paid": "cost", "best": "best", "expires": "best", "expiry": "best"}

// larderWays tell which way something goes; larderFill says nothing.
var (
	larderWays = map[string]string{"took": "out", "take": "out", "used": "out", "is": "is", "left": "is", "has": "is", "now": "is"}
	larderFill = []string{"larder", "put", "the", "in", "into", "of", "my", "our", "got", "bought", "new", "please", "thanks", "to", "out"}
)

// readMove reads an amount, a thing, and what stands behind lot, cost and from.
func readMove(req *desk.Request) (move, desk.Reply, bool) {
	m := move{way: "in", cost: -1}
	qs := req.Reading.Of(phrase.KindQuantity)
	if len(qs) != 1 {
		return m, desk.AskBack("How much, with its unit? For example: larder 5 kg lard lot A12 cost 18.50"), false
	}
	q := qs[0].Value.(phrase.Quantity)
	m.amount, m.volume = q.Float(), q.Unit.Dim == measure.Volume
	if q.Unit.Dim != measure.Mass && !m.volume || q.Top != nil || m.amount < 0 {
		return m, desk.AskBack(fmt.Sprintf("%s is not one weight or volume.", desk.Quote(qs[0].Text))), false
	}
	item := m.readWords(slices.DeleteFunc(slices.Clone(req.Reading.Tokens), func(t phrase.Token) bool { return t.Start >= qs[0].Start && t.Start < qs[0].End }))
	m.readCost(req)
	m.readBest(req)
	switch {
	case m.way != "is" && m.amount == 0:
		return m, desk.AskBack("How much? For example: larder 5 kg lard"), false
	case len(item) == 0 || len(item) > 5:
		return m, desk.AskBack("What is it? For example: larder 5 kg lard lot A12 cost 18.50"), false
	}
	m.item = strings.Join(item, " ")
	return m, desk.Reply{}, true
}

// readWords shares the words out among the parts and returns those of the thing.
func (m *move) readWords(toks []phrase.Token) (item []string) {
	part := ""
	var whence []string
	for _, t := range toks {
		if part == "lot" && (m.code == "" || t.Glued) { // A12, C-7, 88/2
			m.code += t.Text
			continue
		}
		if next, is := larderParts[t.Low]; is {
			part = next
			continue
		}
		if way, is := larderWays[t.Low]; is {
			m.way = way
			continue
		}
		if t.Kind != phrase.Word && t.Kind != phrase.Num || slices.Contains(larderFill, t.Low) {
			continue
		}
		switch part {
		case "from":
			whence = append(whence, t.Text)
		case "", "lot": // behind the number of a lot the thing goes on
			item = append(item, t.Low)
		}
	}
	m.whence = strings.Join(whence, " ")
	return item
}

// readCost takes the last number behind cost, for or paid.
func (m *move) readCost(req *desk.Request) {
	at := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return larderParts[t.Low] == "cost" })
	if at < 0 {
		return
	}
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if r, ok := s.Value.(*big.Rat); ok && s.Start > req.Reading.Tokens[at].Start && r.Sign() >= 0 {
			m.cost, _ = r.Float64()
		}
	}
}

// readBest takes the date behind best, best before, expires.
func (m *move) readBest(req *desk.Request) {
	at := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return larderParts[t.Low] == "best" })
	if at < 0 {
		return
	}
	behind := req.Text[req.Reading.Tokens[at].End:]
	r := phrase.Read(behind, phrase.Tokens(behind), req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindDate}})
	if dates := r.Of(phrase.KindDate); len(dates) > 0 {
		m.best = reminders.Day(dates[0].Value.(phrase.Date).Next)
	}
}
