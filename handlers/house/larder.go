package house

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"time"

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
			Forms: []string{"^larder", "^put * in|into the larder", "^took|take|threw|used * from the larder", "^took|take|threw|used * out of the larder"}, Kinds: kinds, Needs: []desk.Need{{Kind: phrase.KindQuantity}, {Kind: phrase.KindNumber}},
			Examples: []desk.Example{
				{Line: "larder 5 kg lard lot A12 cost 18.50 from Ruth"},
				{Line: "larder 24 eggs"},
				{Line: "larder 3 bags flour 1.5 kg each"},
				{Line: "put 14 jars of jam in the larder"},
				{Setup: []string{"larder 24 eggs"}, Line: "larder took 3 eggs"},
				{Setup: []string{"larder 5 kg lard"}, Line: "larder took 200 g lard"},
				{Setup: []string{"larder 5 kg lard"}, Line: "larder lard is 1.2 kg"},
			},
			Plain: plainStock, Do: stock,
		},
	}
}

// larder shows what is in stock, a line for what is counted alike.
func larder(req *desk.Request) (desk.Reply, error) {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(lots) == 0 {
		return desk.Answer("The larder's book is empty.", "Put something in: larder 5 kg lard lot A12 cost 18.50, or larder 24 eggs"), nil
	}
	slices.SortStableFunc(lots, func(a, b storage.Lot) int { return strings.Compare(strings.ToLower(a.Item), strings.ToLower(b.Item)) })
	out := desk.Answer("In the larder:")
	for len(lots) > 0 {
		var alike, rest []storage.Lot
		for _, l := range lots {
			if countedAlike(l, lots[0]) && l.Hold.Equal(lots[0].Hold) {
				alike = append(alike, l)
				continue
			}
			rest = append(rest, l)
		}
		out.Lines = append(out.Lines, stockLine(req, alike))
		lots = rest
	}
	return out, nil
}

// countedAlike reports lots of one thing that can be added up.
func countedAlike(a, b storage.Lot) bool {
	return sameThing(a.Item, b.Item) && a.Dim == b.Dim && a.Each == b.Each && a.Size == b.Size && a.SizeDim == b.SizeDim
}

func stockLine(req *desk.Request, alike []storage.Lot) string {
	g := desk.GoodsOf(alike[0])
	g.Amount, g.Item = 0, strings.ToLower(g.Item)
	var codes []string
	for _, l := range alike {
		g.Amount += l.Left
		if l.Code != "" {
			codes = append(codes, l.Code)
		}
	}
	line := req.SayGoods(g)
	if g.Size > 0 && g.Amount != math.Trunc(g.Amount) {
		line += " in " + desk.Counted(2, g.Each)
	}
	if len(codes) > 0 {
		line += ", lot " + desk.List(codes)
	}
	if alike[0].Held(req.Now) {
		line += ", " + heldUntil(req, alike[0])
	}
	return line
}

// heldUntil says until when a lot is not to be eaten, and why.
func heldUntil(req *desk.Request, l storage.Lot) string {
	text := "not to be eaten or drunk before " + req.SayDay(l.Hold)
	if l.Hold.After(req.Now.AddDate(10, 0, 0)) { // until its end is known
		text = "not to be eaten or drunk"
	}
	if l.HoldWhy != "" {
		text += " (" + l.HoldWhy + ")"
	}
	return text
}

// move is what a line says about the larder.
type move struct {
	goods        desk.Goods
	code, whence string
	cost         float64
	way          string    // in, out, away, is
	best         time.Time // the date on the pack, zero without one
	got          time.Time // when it came, zero for now
}

// plainStock tells the larder's book from "took 2 hours to get the mouse out of the larder".
func plainStock(req *desk.Request) bool {
	if strings.HasPrefix(req.Form, "^larder") {
		return true
	}
	m, _, ok := readMove(req)
	if !ok || m.way == "in" || strings.HasSuffix(req.Text, "?") {
		return ok && !strings.HasSuffix(req.Text, "?")
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	return err == nil && slices.ContainsFunc(lots, func(l storage.Lot) bool { return sameThing(l.Item, m.goods.Item) })
}

// stock writes into the larder's book.
func stock(req *desk.Request) (desk.Reply, error) {
	m, reply, ok := readMove(req)
	if !ok {
		return reply, nil
	}
	if !req.Grown() && reminders.Dangerous(m.goods.Item) {
		return desk.Refuse(fmt.Sprintf("%s is not for a child: an adult writes it into the larder.", desk.Upper(m.goods.Item))), nil
	}
	all, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	lots := lotsOf(all, m.goods)
	if m.way == "in" {
		return putIn(req, m, lots)
	}
	if len(lots) == 0 && len(all) > 0 {
		if other := otherwise(req, all, m.goods); other != "" {
			return desk.AskBack(other), nil
		}
	}
	if m.way == "is" {
		return setStock(req, m, lots)
	}
	if m.way == "out" {
		return takeForEating(req, m, lots)
	}
	if there := sumOf(lots, m.goods.Dim); m.goods.Amount > there+smallest {
		return onlyThere(req, m, there), nil
	}
	return takeOut(req, m.goods, lots, m.goods.Amount, fmt.Sprintf("threw out %s from the larder", req.SayGoods(m.goods)))
}

// takeForEating takes what is not held out of lots.
func takeForEating(req *desk.Request, m move, lots []storage.Lot) (desk.Reply, error) {
	free := slices.DeleteFunc(slices.Clone(lots), func(l storage.Lot) bool { return l.Held(req.Now) })
	have, there := sumOf(free, m.goods.Dim), sumOf(lots, m.goods.Dim)
	switch {
	case m.goods.Amount > there+smallest:
		return onlyThere(req, m, there), nil
	case m.goods.Amount > have+smallest:
		held := lots[slices.IndexFunc(lots, func(l storage.Lot) bool { return l.Held(req.Now) })]
		return desk.Refuse(fmt.Sprintf("Not out of the larder to eat: %s of the %s are %s.", req.SayAmount(with(m.goods, there-have)), m.goods.Item, heldUntil(req, held)),
			fmt.Sprintf("To throw them out: larder threw out %s", req.SayGoods(m.goods))), nil
	}
	return takeOut(req, m.goods, free, m.goods.Amount, fmt.Sprintf("took %s from the larder", req.SayGoods(m.goods)))
}

func onlyThere(req *desk.Request, m move, there float64) desk.Reply {
	return desk.AskBack(fmt.Sprintf("There is only %s of %s in the larder's book. How much is left? larder %s is %s", req.SayAmount(with(m.goods, there)), m.goods.Item, m.goods.Item, nothingOf(m.goods)))
}

// smallest is what amounts may differ by and still be the same: they are kept as
// floating-point numbers, and a third of a dozen is four.
const smallest = 1e-6

// setStock makes the book say what is there.
func setStock(req *desk.Request, m move, lots []storage.Lot) (desk.Reply, error) {
	have := sumOf(lots, m.goods.Dim)
	if m.goods.Amount > have {
		m.goods.Amount, m.cost = m.goods.Amount-have, -1
		return putIn(req, m, lots)
	}
	if len(lots) == 0 {
		return desk.Answer(fmt.Sprintf("No %s is in the larder's book.", m.goods.Item)), nil
	}
	return takeOut(req, m.goods, lots, have-m.goods.Amount, fmt.Sprintf("the larder has %s", req.SayGoods(m.goods)))
}

func with(g desk.Goods, amount float64) desk.Goods {
	g.Amount = amount
	return g
}

// nothingOf is none of a thing as a line about the larder says it.
func nothingOf(g desk.Goods) string {
	switch {
	case g.Dim == storage.Mass:
		return "0 g"
	case g.Dim == storage.Volume:
		return "0 mL"
	}
	return strings.TrimSpace("0 " + desk.Counted(0, g.Each))
}

// lotsOf are the lots of what a line names, counted as it counts them: tins of any size
// where it says none, and tins of a known size for a weight.
func lotsOf(all []storage.Lot, g desk.Goods) (out []storage.Lot) {
	for _, l := range all {
		_, holds := l.Holds(g.Dim)
		if !holds || !sameThing(l.Item, g.Item) || g.Dim == storage.Count && l.Each != g.Each || g.Size > 0 && (l.Size != g.Size || l.SizeDim != g.SizeDim) {
			continue
		}
		out = append(out, l)
	}
	return out
}

// otherwise asks about a thing that the larder counts in another way; empty when it has
// none of it.
func otherwise(req *desk.Request, all []storage.Lot, g desk.Goods) string {
	for _, l := range all {
		if sameThing(l.Item, g.Item) {
			has := req.SayGoods(desk.GoodsOf(l))
			return fmt.Sprintf("The larder has %s, counted that way. For example: larder took %s", has, req.SayGoods(with(desk.GoodsOf(l), 1)))
		}
	}
	return ""
}

func sumOf(lots []storage.Lot, dim storage.Dimension) (sum float64) {
	for _, l := range lots {
		amount, _ := l.Holds(dim)
		sum += amount
	}
	return sum
}

func putIn(req *desk.Request, m move, lots []storage.Lot) (desk.Reply, error) {
	g := m.goods
	text := req.SayGoods(g) + " into the larder"
	if m.code != "" {
		text += ", lot " + m.code
	}
	if !m.best.IsZero() {
		text += ", best before " + reminders.SayDay(m.best, req.Wall, req.House.DayFirst)
	}
	if err := req.Record(storage.Entry{Kind: "larder", About: "larder:" + g.Item, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := shelve(req, m); err != nil {
		return desk.Reply{}, err
	}
	lots = slices.DeleteFunc(lots, func(l storage.Lot) bool { return l.Held(req.Now) })
	sum := with(g, sumOf(lots, g.Dim)+g.Amount)
	if slices.ContainsFunc(lots, func(l storage.Lot) bool { return l.Dim != g.Dim || l.Size != g.Size }) {
		sum.Size = 0 // of several sizes
	}
	out := fmt.Sprintf("%s: %s in the larder", desk.Upper(g.Item), req.SayAmount(sum))
	if sum.Size > 0 {
		out += ", " + sayMuch(req, desk.Goods{Dim: sum.SizeDim, Amount: sum.Amount * sum.Size}) + " in all"
	}
	if !m.best.IsZero() {
		out += ", best before " + reminders.SayDay(m.best, req.Wall, req.House.DayFirst)
	}
	return desk.Quietly(out + "."), nil
}

// shelve makes the lot, with the bell of its date, and stops those that ask for more.
func shelve(req *desk.Request, m move) error {
	g := m.goods
	lot := storage.Lot{
		Household: req.House.ID, Item: g.Item, Code: m.code, Got: req.Now, Amount: g.Amount, Left: g.Amount, Dim: g.Dim, Each: g.Each, Size: g.Size, SizeDim: g.SizeDim,
		Cost: m.cost, Whence: m.whence, Best: m.best,
	}
	if !m.got.IsZero() {
		lot.Got = m.got
	}
	if _, err := req.Tx.AddLot(lot); err != nil {
		return err
	}
	if err := bestBell(req, m); err != nil {
		return err
	}
	bells, err := req.Tx.SubjectBells(req.House.ID, "larder:"+g.Item)
	if err != nil {
		return err
	}
	for _, b := range bells {
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return err
		}
	}
	return offList(req, g.Item)
}

// offList ticks off what was on the list because it ran out.
func offList(req *desk.Request, item string) error {
	all, err := req.Tx.List(req.House.ID)
	if err != nil {
		return err
	}
	for _, g := range all {
		if g.Why == "" || !sameThing(g.Item, item) {
			continue
		}
		if err := req.Tx.Got(g.ID, req.Now); err != nil {
			return err
		}
	}
	return nil
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
		Household: req.House.ID, Title: "use the " + m.goods.Item, Hint: "Best before " + reminders.SayDay(m.best, req.Wall, req.House.DayFirst) + ".", Whom: reminders.People(req.Who.ID), Next: reminders.RoundOn(req.House, day),
		Useful: reminders.UsefulDaily, Subject: "best:" + m.goods.Item, Why: "the date on the pack", Made: req.Now,
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

// takeOut draws an amount of what goods name, in their dimension, out of lots that have it.
func takeOut(req *desk.Request, g desk.Goods, lots []storage.Lot, amount float64, text string) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "larder", About: "larder:" + g.Item, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	left, err := drawGoods(req, g, lots, 0, amount)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Quietly(fmt.Sprintf("%s: %s in the larder.", desk.Upper(g.Item), req.SayAmount(with(g, left))))
	if left < smallest {
		out.Buttons = []storage.Button{desk.Labelled("On the list", "list "+g.Item)}
	}
	return out, nil
}

// drawGoods takes an amount out of lots, what goes off first before the rest, for a
// dealing or for none, and stops the bells of dates when nothing is left. It returns
// what is left in them.
func drawGoods(req *desk.Request, g desk.Goods, lots []storage.Lot, dealing int64, amount float64) (left float64, err error) {
	lots = slices.Clone(lots)
	storage.FirstToGo(lots)
	for i, l := range lots {
		have, _ := l.Holds(g.Dim)
		take := min(amount, have)
		short, err := req.Tx.Take(lots[i:i+1], dealing, l.In(g.Dim, take))
		if err != nil {
			return 0, err
		}
		if short > smallest {
			return 0, fmt.Errorf("lot %d was short of %v", l.ID, short)
		}
		amount -= take
		left += have - take
	}
	if left < smallest && len(lots) > 0 {
		return left, allGone(req, lots[0].Item)
	}
	return left, nil
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
	larderWays = map[string]string{"took": "out", "take": "out", "used": "out", "ate": "out", "threw": "away", "binned": "away", "broke": "away", "is": "is", "are": "is", "left": "is", "has": "is", "now": "is"}
	larderFill = []string{"larder", "put", "in", "into", "my", "our", "got", "bought", "new", "please", "thanks", "to", "out", "there"}
)

// readMove reads an amount, a thing, and what stands behind lot, cost and from.
func readMove(req *desk.Request) (move, desk.Reply, bool) {
	m := move{way: "in", cost: -1}
	g, trouble := desk.ReadGoods(m.readWords(req), req.Context())
	m.goods = g
	m.readCost(req)
	m.readBest(req)
	switch {
	case trouble == desk.NoThing:
		return m, desk.AskBack("What is it? For example: larder 5 kg lard lot A12 cost 18.50"), false
	case trouble == desk.NoUnit:
		return m, desk.AskBack(fmt.Sprintf("How much %s, with its unit: weight, volume, bags, tins? For example: larder 5 kg %s, or larder 2 bags %s", g.Item, g.Item, g.Item)), false
	case trouble == desk.EachOrAll:
		size := req.SayAmount(desk.Goods{Amount: g.Size, Dim: g.SizeDim})
		n := req.SayAmount(desk.Goods{Amount: g.Amount, Dim: storage.Count, Each: g.Each})
		return m, desk.AskBack(fmt.Sprintf("Is that %s each, or in all?", size),
			desk.Labelled(size+" each", fmt.Sprintf("larder %s %s %s each", n, g.Item, size)), desk.Labelled(size+" in all", fmt.Sprintf("larder %s %s", size, g.Item))), false
	case trouble == desk.NotOne || g.Amount < 0:
		return m, desk.AskBack("That is not one weight, volume or count. One thing a line, for example: larder 5 kg lard, or larder 6 tins tomatoes"), false
	case g.Bare && m.way != "is":
		return m, desk.AskBack("How much, with its unit? For example: larder 5 kg lard lot A12 cost 18.50, or larder 24 eggs"), false
	case g.Bare || m.way != "is" && g.Amount == 0:
		return m, desk.AskBack("How much? For example: larder 5 kg lard, or larder 24 eggs"), false
	case len(strings.Fields(g.Item)) > 5:
		return m, desk.AskBack("What is it? For example: larder 5 kg lard lot A12 cost 18.50"), false
	}
	return m, desk.Reply{}, true
}

// readWords shares the words out among the parts and returns the text of the goods: an
// amount with its unit stays there wherever it stands.
func (m *move) readWords(req *desk.Request) string {
	amounts := req.Reading.Of(phrase.KindQuantity)
	part, goods := "", ""
	var whence []string
	for _, t := range req.Reading.Tokens {
		if slices.ContainsFunc(amounts, func(s phrase.Span) bool { return t.Start >= s.Start && t.End <= s.End }) {
			goods = joinToken(goods, t)
			continue
		}
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
		if slices.Contains(larderFill, t.Low) {
			continue
		}
		switch part {
		case "from":
			if t.Kind == phrase.Word && t.Low != "the" {
				whence = append(whence, t.Text)
			}
		case "", "lot": // behind the number of a lot the thing goes on
			goods = joinToken(goods, t)
		}
	}
	m.whence = strings.Join(whence, " ")
	return goods
}

// joinToken writes a token behind a text as it was typed: 1/2, A12, a dozen.
func joinToken(text string, t phrase.Token) string {
	switch {
	case t.Joined:
		return text + "-" + t.Text
	case t.Glued || text == "":
		return text + t.Text
	}
	return text + " " + t.Text
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
