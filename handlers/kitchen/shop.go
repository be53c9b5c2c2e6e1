package kitchen

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/food"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func shopAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "shop", Command: "shop", Lists: []string{"recipes"}, Help: "one list for the week's meals, less what the larder holds, in units that shops sell",
			Forms: []string{"^shop$", "^shop for", "^shopping$", "^shopping list$", "what|what's do we|i need for * week|meals", "what do we|i need for", "what do|must we|i buy|get", "what do we|i need to buy|get", "what am|are i|we missing|lacking|short"}, Fill: []string{"missing", "am", "short", "must", "lacking", "shop", "shopping", "list", "for", "the", "week", "next", "this", "meals", "what", "do", "we", "i", "need", "to", "get", "buy"},
			Examples: []desk.Example{{Setup: []string{soupText, "thursday barley soup for 8"}, Line: "shop"}, {Setup: []string{soupText}, Line: "what do I need for the barley soup"}, {Setup: []string{soupText}, Line: "what am I missing for the barley soup"}}, Plain: func(req *desk.Request) bool {
				return len(req.Reading.Unknown) == 0 && !strings.HasSuffix(req.Text, "!") && (strings.HasPrefix(req.Form, "^shop") || req.Mentions("week", "meals") || len(req.Reading.Terms("recipes")) > 0)
			}, Do: shop,
		},
		{
			Name: "larder", Command: "larder", Question: true, Help: "what in the larder must be used first", Forms: []string{"what must|should|needs be used|using|eaten first", "what|anything needs|need using|eating|finishing up", "what needs|need using|eating", "what|what's|whats going off", "used up first", "what * best before", "best before soon|next"}, Fill: []string{"what", "must", "should", "be", "used", "eaten", "first", "going", "off", "next", "anything", "need", "eating", "finishing", "in", "the", "larder", "needs", "using", "up", "soon"},
			Examples: []desk.Example{{Setup: []string{"larder 5 kg flour best before 1 sep"}, Line: "what must be used first"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: usedFirst,
		},
	}
}

// want is what a dish takes.
type want struct {
	dish  string
	items []food.Item
}

// wants are what a recipe takes k times.
func wants(r storage.Recipe, k *big.Rat, ctx phrase.Context) want {
	w := want{dish: r.Name}
	ingredients, _ := parts(r.Body)
	for _, text := range ingredients {
		in := understand(text, ctx)
		if in.heading {
			continue
		}
		w.items = append(w.items, food.Item{Name: in.what, Amount: in.shopAmount(k), From: r.Name})
		for part := range strings.SplitSeq(in.note, ", ") {
			if more, is := in.plusPart(part); is {
				w.items = append(w.items, food.Item{Name: more.what, Amount: more.shopAmount(k), From: r.Name})
			}
		}
	}
	return w
}

// shopAmount is the amount of a line as the shop's sum takes it.
func (in ingredient) shopAmount(k *big.Rat) food.Amount {
	if in.amount == nil || in.inexact() {
		return food.Amount{Kind: food.Vague, Unit: in.each}
	}
	most := in.amount
	if in.top != nil {
		most = in.top
	}
	v := new(big.Rat).Mul(most, k)
	switch {
	case in.unit == nil:
		unit := in.each
		if in.size != nil {
			unit = strings.TrimSpace(fmt.Sprintf("%s %s %s", in.each, decimal(in.size.Amount, 1), in.size.Unit.Name))
		}
		return food.Amount{Kind: food.Count, Value: v, Unit: unit}
	case in.unit.Dim == measure.Mass:
		return food.Amount{Kind: food.Mass, Value: measure.Quantity{Amount: v, Unit: in.unit}.Base()}
	}
	tsp, err := measure.Quantity{Amount: v, Unit: in.unit}.In(measure.Teaspoon)
	if err != nil {
		return food.Amount{Kind: food.Vague, Unit: in.text}
	}
	return food.Amount{Kind: food.Volume, Value: tsp.Amount}
}

// weekAhead is how many days a shop is for.
const weekAhead = 7

// shop makes the list for the meals of the week, or for one dish.
func shop(req *desk.Request) (desk.Reply, error) {
	recipes, err := req.Tx.Recipes(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if !req.Mentions("week", "meals") { // "week" is one slip from a dish of leeks
		if several := named(req, recipes); len(several) > 1 {
			var all []want
			for _, r := range several {
				all = append(all, wants(r, big.NewRat(1, 1), req.Context()))
			}
			return listFor(req, all, fmt.Sprintf("For %s, and what else is on the list:", dishes(all)), dishes(all))
		}
		r, reply, ok := pick(req, recipes)
		if ok {
			k, planned, err := plannedSoon(req, r)
			if err != nil {
				return desk.Reply{}, err
			}
			w := wants(r, k, req.Context())
			if !strings.HasPrefix(req.Form, "^shop") {
				return missing(req, w)
			}
			if !planned { // what is planned is on the week's list, with its own number
				return listFor(req, []want{w}, "For "+r.Name+", and what else is on the list:", r.Name)
			}
			reply = desk.Reply{}
		}
		if reply.Head != "" {
			return reply, nil
		}
	}
	from := reminders.Day(req.Wall)
	meals, err := req.Tx.Meals(req.House.ID, from, from.AddDate(0, 0, weekAhead))
	if err != nil {
		return desk.Reply{}, err
	}
	var all []want
	var bare []string
	for _, m := range meals {
		i := slices.IndexFunc(recipes, func(r storage.Recipe) bool { return strings.EqualFold(r.Name, m.Recipe) })
		if i < 0 {
			bare = append(bare, m.Recipe)
			continue
		}
		k, err := mealFactor(req, m, recipes[i])
		if err != nil {
			return desk.Reply{}, err
		}
		all = append(all, wants(recipes[i], k, req.Context()))
	}
	if len(all) == 0 {
		return desk.Answer("No meals with recipes are planned for the week.", "Plan some: thursday barley soup for 8"), nil
	}
	out, err := listFor(req, all, fmt.Sprintf("For %s:", dishes(all)), "")
	if len(bare) > 0 {
		out.Lines = append(out.Lines, "No recipe, so not counted: "+desk.List(bare)+".")
	}
	return out, err
}

// plannedSoon is by how much the first meal of a recipe scales it, of the days that a
// shop is for; planned is false, and the recipe as it is written, without one.
func plannedSoon(req *desk.Request, r storage.Recipe) (k *big.Rat, planned bool, err error) {
	from := reminders.Day(req.Wall)
	meals, err := req.Tx.Meals(req.House.ID, from, from.AddDate(0, 0, weekAhead))
	if err != nil {
		return nil, false, err
	}
	for _, m := range meals {
		if strings.EqualFold(m.Recipe, r.Name) {
			k, err := mealFactor(req, m, r)
			return k, true, err
		}
	}
	return big.NewRat(1, 1), false, nil
}

func dishes(all []want) string {
	var names []string
	for _, w := range all {
		if !slices.Contains(names, w.dish) {
			names = append(names, w.dish)
		}
	}
	return desk.List(names)
}

// mealFactor is by how much a meal scales its recipe.
func mealFactor(req *desk.Request, m storage.Meal, r storage.Recipe) (*big.Rat, error) {
	if r.Serves == 0 {
		return big.NewRat(1, 1), nil
	}
	eat, said := m.Portions, m.Portions > 0
	if !said {
		at := m.At
		if at.IsZero() {
			at = req.Instant(m.Day.Add(18 * time.Hour))
		}
		t, err := atTable(req, at, 0, 0)
		if err != nil {
			return nil, err
		}
		eat = max(t.portions, float64(r.Serves)) // nobody bakes a third of a loaf: the recipe as it is, or more
	}
	return new(big.Rat).Quo(ratio(eat+m.Away), big.NewRat(int64(r.Serves), 1)), nil
}

// toBuy sums what dishes take, less what the larder holds; there names what it holds.
func toBuy(req *desk.Request, all []want) (out []storage.ToGet, there []string, err error) {
	var items []food.Item
	for _, w := range all {
		items = append(items, w.items...)
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return nil, nil, err
	}
	lots = slices.DeleteFunc(lots, func(l storage.Lot) bool { return l.Held(req.Now) })
	for _, n := range food.Sum(items) {
		left, has := lessLarder(n, lots)
		if has != "" {
			there = append(there, has)
		}
		if len(left.Amounts) == 0 {
			continue
		}
		for i, p := range food.Shop(left, !req.House.US) {
			out = append(out, storage.ToGet{Item: n.Name, Wanted: wanted(p, n.Name, left.Amounts[i]), Section: string(food.SectionOf(n)), Whence: strings.Join(n.From, ", ")})
		}
	}
	return out, there, nil
}

// listFor puts what dishes take on the list, in place of what an earlier shop put there
// for them: the shop of a week gives way to the next week's, that of a dish to its own.
func listFor(req *desk.Request, all []want, head string, only string) (desk.Reply, error) {
	buy, there, err := toBuy(req, all)
	if err != nil {
		return desk.Reply{}, err
	}
	if err := req.Record(storage.Entry{Kind: "shop", About: "list", Text: "made the list for " + dishes(all)}); err != nil {
		return desk.Reply{}, err
	}
	old, err := req.Tx.List(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, g := range old {
		if g.Whence == "" || only != "" && g.Whence != only {
			continue
		}
		if err := req.Tx.TakeOff(g.ID, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	bought, err := req.Tx.GotSince(req.House.ID, req.Now.AddDate(0, 0, -weekAhead))
	if err != nil {
		return desk.Reply{}, err
	}
	for _, g := range buy {
		if slices.ContainsFunc(bought, func(b storage.ToGet) bool { return b.Item == g.Item && b.Wanted == g.Wanted }) {
			there = append(there, g.Item+" (got already)")
			continue
		}
		if err := req.Tx.AddToGet(req.House.ID, req.Who.ID, g, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	open, err := req.Tx.List(req.House.ID)
	out := desk.Answer(head, desk.ToGetLines(open)...)
	return shopped(out, there), err
}

// missing answers what a dish takes that the larder does not hold; the list stays as it is.
func missing(req *desk.Request, w want) (desk.Reply, error) {
	buy, there, err := toBuy(req, []want{w})
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer("For "+w.dish+" all is in the larder.", desk.ToGetLines(buy)...)
	if len(buy) > 0 {
		out.Head = "For " + w.dish + ":"
		out.Buttons = []storage.Button{desk.Labelled("On the list", "shop for "+w.dish)}
	}
	return shopped(out, there), nil
}

func shopped(out desk.Reply, there []string) desk.Reply {
	if len(there) > 0 {
		out.Lines = append(out.Lines, "Less what the larder has: "+strings.Join(there, ", ")+".")
	}
	out.Assumed = []string{"rounded up to what shops sell, peel and trimmings counted in (common practice)", "ticked off with: got the leeks"}
	return out
}

// wanted writes a purchase with its thing; of what is counted, how many it is for.
func wanted(p food.Purchase, name string, need food.Amount) string {
	text := p.Text
	if small := smallMeasure(need); small != "" && p.Over != nil && p.Over.Sign() == 0 { // no pack of its own
		text = small
	}
	if !strings.Contains(strings.ToLower(text), strings.ToLower(name)) {
		text = strings.TrimSpace(text + " " + name)
	}
	if need.Kind == food.Count && p.Over != nil && p.Over.Cmp(big.NewRat(1, 1)) >= 0 && need.Value != nil {
		text += fmt.Sprintf(" (for %s)", decimal(need.Value, 1))
	}
	return text
}

// smallMeasure writes a few spoons as spoons: nobody shops for 0.2 fluid ounces.
func smallMeasure(need food.Amount) string {
	if need.Kind != food.Volume || need.Value == nil || need.Value.Cmp(big.NewRat(12, 1)) > 0 {
		return ""
	}
	halves := new(big.Rat).Mul(need.Value, big.NewRat(2, 1))
	up := new(big.Int).Quo(new(big.Int).Add(halves.Num(), new(big.Int).Sub(halves.Denom(), big.NewInt(1))), halves.Denom())
	return mixed(new(big.Rat).SetFrac(up, big.NewInt(2))) + " tsp"
}

// teaspoonML is a US teaspoon in millilitres.
const teaspoonML = 4.92892159375

// lessLarder takes off what the larder holds of a need, in the measure that the need is
// in; has says what it does. What is held is not there to be eaten.
func lessLarder(n food.Need, lots []storage.Lot) (left food.Need, has string) {
	left = n
	left.Amounts = nil
	keep := 1.0
	if trim, ok := food.TrimOf(n.Food); ok && n.Known { // the larder's have their peel on still
		keep = 1 - trim.Refuse
	}
	for _, a := range n.Amounts {
		if a.Kind == food.Vague || a.Value == nil {
			left.Amounts = append(left.Amounts, a)
			continue
		}
		need, _ := a.Value.Float64()
		short := need
		for i, l := range lots {
			rate, holds := rateOf(l, a)
			if !holds || !sameFood(l, n) {
				continue
			}
			if a.Kind == food.Mass && l.Dim == storage.Mass {
				rate *= keep
			}
			take := min(short/rate, l.Left)
			lots[i].Left -= take
			short -= take * rate
		}
		switch {
		case short == need:
			left.Amounts = append(left.Amounts, a)
			continue
		case short > smallShort:
			left.Amounts = append(left.Amounts, food.Amount{Kind: a.Kind, Value: new(big.Rat).SetFloat64(short), Unit: a.Unit})
		}
		has = n.Name
	}
	return left, has
}

// smallShort is a shortage that nobody shops for: the larder's amounts are floating-point.
const smallShort = 1e-6

// usedFirst lists what of the larder goes off first.
func usedFirst(req *desk.Request) (desk.Reply, error) {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	lots = slices.DeleteFunc(lots, func(l storage.Lot) bool { return l.Best.IsZero() })
	if len(lots) == 0 {
		return desk.Answer("Nothing in the larder has a date. Give it one: larder 5 kg flour best before 1 sep"), nil
	}
	storage.FirstToGo(lots)
	out := desk.Answer("To be used first:")
	for _, l := range lots[:min(len(lots), 10)] {
		when := "best before "
		if l.Best.Before(reminders.Day(req.Wall)) {
			when = "past its date of "
		}
		out.Lines = append(out.Lines, fmt.Sprintf("%s, %s%s", req.SayGoods(desk.GoodsOf(l)), when, reminders.SayDay(l.Best, req.Wall, req.House.DayFirst)))
	}
	return out, nil
}
