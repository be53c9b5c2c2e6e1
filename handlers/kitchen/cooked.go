package kitchen

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/food"
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
	slices.SortStableFunc(lots, func(a, b storage.Lot) int { return dated(a) - dated(b) })
	draws := drawsFor(wants(r, k, req.Context()), lots)
	if len(draws) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	text := fmt.Sprintf("cooked %s x %s: %s from the larder", r.Name, mixed(k), sayDraws(req, draws))
	if err := req.Record(storage.Entry{Kind: "larder", About: "larder", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, d := range draws {
		if err := req.Tx.AddDraw(d.lot, 0, d.grams); err != nil {
			return desk.Reply{}, err
		}
	}
	return desk.Answer(desk.Upper(text) + "."), nil
}

// dated orders lots by the date on the pack, those without one last.
func dated(l storage.Lot) int {
	if l.Best.IsZero() {
		return 1 << 30
	}
	return int(l.Best.Unix() / 86400)
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

// taken is what a dish took out of one lot.
type taken struct {
	lot   storage.Lot
	grams float64
}

// drawsFor are what a dish takes by weight, out of lots that hold it, as far as they go.
func drawsFor(w want, lots []storage.Lot) (out []taken) {
	for _, n := range food.Sum(w.items) {
		for _, a := range n.Amounts {
			if a.Kind != food.Mass {
				continue
			}
			need, _ := a.Value.Float64()
			for i := range lots {
				take := min(need, lots[i].Left)
				if take < 0.5 || !sameFood(lots[i], n) {
					continue
				}
				out = append(out, taken{lots[i], take})
				lots[i].Left -= take
				need -= take
			}
		}
	}
	return out
}

// sameFood reports that a lot is of what a dish needs, by weight.
func sameFood(l storage.Lot, n food.Need) bool {
	f, ok := food.Find(l.Item)
	return !l.Volume && (ok && n.Known && f.Name == n.Food.Name || strings.EqualFold(l.Item, n.Name))
}

func sayDraws(req *desk.Request, draws []taken) string {
	var parts []string
	for _, d := range draws {
		parts = append(parts, req.Scale().Nearest(d.grams)+" "+d.lot.Item)
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
		if !l.Best.IsZero() && l.Best.Before(day.AddDate(0, 0, nearDate)) {
			out = append(out, fmt.Sprintf("Use the %s: best before %s", l.Item, reminders.SayDay(l.Best, req.Wall, req.House.DayFirst)))
		}
	}
	return out, nil
}

// nearDate is how many days ahead a date on a pack is near.
const nearDate = 4
