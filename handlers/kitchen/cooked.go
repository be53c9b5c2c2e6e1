package kitchen

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func cookedAsk() desk.Ask {
	return desk.Ask{
		Name: "cooked", Command: "larder", Lists: []string{"recipes"}, Kinds: []phrase.Kind{phrase.KindNumber}, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "recipes"}},
		Help: "a dish was cooked: the larder gives what its recipe takes", Forms: []string{"^cooked|baked|made", "^i|we cooked|baked|made", "^larder cooked"}, Fill: []string{"for", "times", "today", "people", "portions", "batch", "of", "a"},
		Examples: []desk.Example{{Setup: []string{oatcakes, "larder 2 kg lard", "larder 5 kg oatmeal"}, Line: "cooked the oatcakes for 16"}},
		Plain: func(req *desk.Request) bool {
			return !strings.ContainsAny(req.Text, "?!") && len(req.Reading.Unknown) == 0
		}, Do: cooked,
	}
}

// cooked takes what a recipe took out of the larder, oldest date first. A dish of which
// the larder holds nothing is no business of its book.
func cooked(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	r, reply, ok := pick(req, all)
	if !ok {
		return reply, nil
	}
	k, reply, err := cookedFactor(req, r)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	storage.FirstToGo(lots)
	held := slices.DeleteFunc(slices.Clone(lots), func(l storage.Lot) bool { return !l.Held(req.Now) })
	lots = slices.DeleteFunc(lots, func(l storage.Lot) bool { return l.Held(req.Now) })
	w := wants(r, k, req.Context())
	draws := drawsFor(w, lots)
	cautions := heldBack(req, drawsFor(w, held))
	if len(draws) == 0 && len(cautions) > 0 {
		return desk.Reply{Kind: storage.KindReply, Status: storage.OK, Head: "Nothing else of it is in the larder.", Cautions: cautions}, nil
	}
	if len(draws) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	text := fmt.Sprintf("cooked %s x %s: %s from the larder", r.Name, mixed(k), sayDraws(req, draws))
	if err := req.Record(storage.Entry{Kind: "larder", About: "larder", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, d := range draws {
		if err := req.Tx.AddDraw(d.lot, 0, d.amount); err != nil {
			return desk.Reply{}, err
		}
	}
	out := desk.Answer(desk.Upper(text) + ".")
	out.Cautions = cautions
	return out, nil
}

// heldBack says what of a dish the larder has that is not to be eaten yet.
func heldBack(req *desk.Request, held []taken) (out []string) {
	for _, d := range held {
		why := ""
		if d.lot.HoldWhy != "" {
			why = " (" + d.lot.HoldWhy + ")"
		}
		out = append(out, fmt.Sprintf("%s in the larder: not to be eaten or drunk before %s%s. Left there.", desk.Upper(d.lot.Item), req.SayDay(d.lot.Hold), why))
	}
	return out
}

// cookedFactor is what was said, what today's meal of the dish is for, or the recipe as
// it is written.
func cookedFactor(req *desk.Request, r storage.Recipe) (*big.Rat, desk.Reply, error) {
	if len(req.Reading.Of(phrase.KindNumber)) > 0 {
		k, reply, ok := factor(req, r)
		if ok && (k.Cmp(leastFactor) < 0 || k.Cmp(mostFactor) > 0) {
			return nil, desk.Refuse("That cannot be: 1/50 to 100 times a recipe."), nil
		}
		return k, reply, nil
	}
	day := reminders.Day(req.Wall)
	meals, err := req.Tx.Meals(req.House.ID, day, day)
	if err != nil {
		return nil, desk.Reply{}, err
	}
	for _, m := range meals {
		if strings.EqualFold(m.Recipe, r.Name) && r.Serves > 0 && m.Portions > 0 {
			return new(big.Rat).Quo(ratio(m.Portions+m.Away), big.NewRat(int64(r.Serves), 1)), desk.Reply{}, nil
		}
	}
	return big.NewRat(1, 1), desk.Reply{}, nil
}

// taken is what a dish took out of one lot, as the lot counts it.
type taken struct {
	lot    storage.Lot
	amount float64
}

// drawsFor are what a dish takes out of lots that hold it in the measure that the dish
// asks for, as far as they go.
func drawsFor(w want, lots []storage.Lot) (out []taken) {
	for _, n := range food.Sum(w.items) {
		for _, a := range n.Amounts {
			if a.Kind == food.Vague || a.Value == nil {
				continue
			}
			need, _ := a.Value.Float64()
			for i, l := range lots {
				rate, holds := rateOf(l, a)
				if !holds || !sameFood(l, n) {
					continue
				}
				take := min(need/rate, l.Left)
				if take < worthTaking(l) {
					continue
				}
				out = append(out, taken{l, take})
				lots[i].Left -= take
				need -= take * rate
			}
		}
	}
	return out
}

// worthTaking is the least that is taken of a lot: half a gram, or a hundredth of a piece.
func worthTaking(l storage.Lot) float64 {
	if l.Dim == storage.Count {
		return 0.01
	}
	return 0.5
}

// rateOf is how much of what an amount counts one unit of a lot holds: grams in a gram
// or in a bag, teaspoons in a millilitre, eggs in an egg, tins of 400 g in a tin of 800 g.
func rateOf(l storage.Lot, a food.Amount) (rate float64, ok bool) {
	grams, millilitres := 0.0, 0.0
	switch {
	case l.Dim == storage.Mass:
		grams = 1
	case l.Dim == storage.Volume:
		millilitres = 1
	case l.Size > 0 && l.SizeDim == storage.Mass:
		grams = l.Size
	case l.Size > 0:
		millilitres = l.Size
	}
	switch a.Kind {
	case food.Mass:
		return grams, grams > 0
	case food.Volume:
		return millilitres / teaspoonML, millilitres > 0
	case food.Count:
		return pieceRate(l, a.Unit)
	}
	return 0, false
}

// pieceRate is how many of the pieces that a recipe counts one piece of a lot stands for:
// tins by what they hold, where both sizes are said.
func pieceRate(l storage.Lot, unit string) (float64, bool) {
	each, size, _ := strings.Cut(unit, " ")
	if slices.Contains([]string{"small", "medium", "large", "whole"}, each) {
		each = ""
	}
	if l.Dim != storage.Count || l.Each != each {
		return 0, false
	}
	if grams := gramsOf(size); grams > 0 && l.Size > 0 && l.SizeDim == storage.Mass {
		return l.Size / grams, true
	}
	return 1, true
}

// gramsOf reads the size that a counted unit has: "400 g"; 0 for none by weight.
func gramsOf(size string) float64 {
	n, name, _ := strings.Cut(size, " ")
	v, ok := new(big.Rat).SetString(n)
	i := slices.IndexFunc(measure.Units, func(u *measure.Unit) bool { return u.Dim == measure.Mass && strings.EqualFold(u.Name, name) })
	if !ok || i < 0 {
		return 0
	}
	grams, _ := new(big.Rat).Mul(v, measure.Units[i].Factor).Float64()
	return grams
}

// sameFood reports that a lot is of what a dish needs.
func sameFood(l storage.Lot, n food.Need) bool {
	f, ok := food.Find(l.Item)
	if ok && n.Known && f.Name == n.Food.Name || strings.EqualFold(l.Item, n.Name) {
		return true
	}
	if l.Each != "tin" { // tins of tomatoes are tinned tomatoes
		return false
	}
	f, ok = food.Find("tinned " + l.Item)
	return ok && n.Known && f.Name == n.Food.Name
}

func sayDraws(req *desk.Request, draws []taken) string {
	var parts []string
	for _, d := range draws {
		g := desk.GoodsOf(d.lot)
		g.Amount = d.amount
		parts = append(parts, req.SayGoods(g))
	}
	return desk.List(parts)
}

// todayLines are today's meals and when their work begins, and what in the larder is
// near its date.
func todayLines(req *desk.Request) ([]string, error) {
	day := reminders.Day(req.Wall)
	meals, err := req.Tx.Meals(req.House.ID, day, day)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, m := range meals {
		slots, _, err := slotsOf(req, m)
		if err != nil {
			return nil, err
		}
		line := m.Recipe + forWhom(m)
		if !m.At.IsZero() {
			line = req.WallOf(m.At).Format("15:04") + " " + line
		}
		if len(slots) > 0 && slots[0].Start.After(req.Wall) {
			line += ": begin " + reminders.SayTime(slots[0].Start, req.Wall, req.House.DayFirst)
		}
		out = append(out, line)
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return nil, err
	}
	for _, l := range lots {
		if !l.Held(req.Now) && !l.Best.IsZero() && l.Best.Before(day.AddDate(0, 0, nearDate)) {
			out = append(out, fmt.Sprintf("Use the %s: best before %s", l.Item, reminders.SayDay(l.Best, req.Wall, req.House.DayFirst)))
		}
	}
	return out, nil
}

// nearDate is how many days ahead a date on a pack is near.
const nearDate = 4
