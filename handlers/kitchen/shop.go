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
			Name: "list", Command: "list", Text: true, Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}, Help: "put something on the list of what to get, or take it off",
			Forms:    []string{"^add|put * on|to the|our|my list", "^list", "^add|put * on|to the|our shopping list", "^take|strike|cross * off the|our list", "on|to the shopping list please", "on the shopping list"},
			Examples: []desk.Example{{Line: "add 2 l milk to the list"}, {Line: "/list 3 tins tomatoes"}, {Setup: []string{"add 2 l milk to the list"}, Line: "take the milk off the list"}}, Plain: plainList, Do: list,
		},
		{
			Name: "list", Command: "list", Question: true, Help: "what is to be got", Forms: []string{"^list$", "^the list$", "what's|whats|what on the|our list", "what is on the|our list", "what's|whats|what|is on the|our shopping list", "^list please$", "^what do we need$"}, Fill: []string{"is", "the", "on", "shopping", "please", "show"},
			Examples: []desk.Example{{Line: "list"}, {Setup: []string{"add 2 l milk to the list"}, Line: "what's on the list"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: showList,
		},
		{
			Name: "list", Command: "list", Text: true, Help: "tick something off: it was got", Forms: []string{"^got", "^bought", "^i|we got", "^have got"},
			Examples: []desk.Example{{Setup: []string{"add 2 l milk to the list"}, Line: "got the milk"}}, Plain: plainGot, Do: got,
		},
		{
			Name: "larder", Command: "larder", Question: true, Help: "what in the larder must be used first", Forms: []string{"what must|should|needs be used|using|eaten first", "what|what's|whats going off", "used up first", "what * best before", "best before soon|next"}, Fill: []string{"what", "must", "should", "be", "used", "eaten", "first", "going", "off", "next", "in", "the", "larder", "needs", "using", "up", "soon"},
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
	out, err := showList(req)
	out.Head = head
	return shopped(out, there), err
}

// missing answers what a dish takes that the larder does not hold; the list stays as it is.
func missing(req *desk.Request, w want) (desk.Reply, error) {
	buy, there, err := toBuy(req, []want{w})
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer("For "+w.dish+" all is in the larder.", sections(buy)...)
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

// showList shows what is to be got, by section.
func showList(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.List(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("Nothing is on the list."), nil
	}
	return desk.Answer(fmt.Sprintf("%s to get:", desk.Plural(len(all), "thing")), sections(all)...), nil
}

// sections writes what is to be got, a line a section of the shop.
func sections(all []storage.ToGet) (out []string) {
	var names []string
	by := map[string][]string{}
	for _, g := range all {
		if by[g.Section] == nil {
			names = append(names, g.Section)
		}
		by[g.Section] = append(by[g.Section], g.Wanted)
	}
	for _, s := range names {
		name := s
		if name == "" || name == string(food.Other) {
			name = "other"
		}
		out = append(out, fmt.Sprintf("%s: %s", desk.Upper(name), strings.Join(by[s], "; ")))
	}
	return out
}

// onListSaid is what a line puts on the list or takes off it: the words between the verb and the list.
func onListSaid(req *desk.Request) string {
	text := strings.TrimSpace(req.Text)
	low := strings.ToLower(text)
	for _, lead := range []string{"/list ", "list ", "add ", "put ", "take ", "strike ", "cross "} {
		if strings.HasPrefix(low, lead) {
			text, low = text[len(lead):], low[len(lead):]
			break
		}
	}
	for _, tail := range []string{" to the shopping list", " on the shopping list", " to the list", " on the list", " off the list", " to our list", " on our list", " on to the list", " onto the list", " off our list", " to my list", " on my list"} {
		if i := strings.Index(low, tail); i >= 0 {
			text, low = text[:i], low[:i]
		}
	}
	return strings.Trim(strings.TrimSpace(text), ".!,")
}

func plainList(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("naughty", "wish", "that", "things", "waiting", "guest") {
		return false
	}
	what := onListSaid(req)
	first := req.Reading.Tokens[0].Low
	if slices.Contains(notOnList, first) || slices.Contains(notThings, strings.ToLower(strings.Fields(what + " .")[0])) {
		return false
	}
	return what != "" && len(phrase.Words(what)) <= 12 && (req.Form != "^list" || len(req.Reading.Of(phrase.KindNumber))+len(req.Reading.Of(phrase.KindQuantity)) > 0)
}

// notOnList begin talk about a list; notThings are nothing that is bought.
var (
	notOnList = []string{"did", "have", "has", "i", "you", "he", "she", "they", "what", "what's", "whats", "who", "is", "are", "was", "should", "would", "do", "does", "why", "if", "can", "could"}
	notThings = []string{"him", "me", "us", "it", "your", "my", "her", "them", "that", "this", "you", "myself"}
)

// list puts things on the list, or takes one off.
func list(req *desk.Request) (desk.Reply, error) {
	what := onListSaid(req)
	if what == "" || strings.EqualFold(what, "list") {
		return showList(req)
	}
	if req.Mentions("off") && !strings.HasPrefix(req.Form, "^add") {
		return strike(req, what, "taken off the list")
	}
	var added []string
	for _, part := range things(what) {
		in := understand(part, req.Context())
		name := in.what
		if name == "" {
			continue
		}
		added = append(added, part)
	}
	if len(added) == 0 || len(added) > 30 {
		return desk.AskBack("What goes on the list? For example: add 2 l milk to the list"), nil
	}
	if err := req.Record(storage.Entry{Kind: "list", About: "list", Text: "on the list: " + strings.Join(added, ", ")}); err != nil {
		return desk.Reply{}, err
	}
	for _, part := range added {
		if err := addOne(req, part); err != nil {
			return desk.Reply{}, err
		}
	}
	return desk.Quietly("On the list: " + strings.Join(added, ", ") + "."), nil
}

// addOne puts one thing on the list; the same thing in the same measure is added up.
func addOne(req *desk.Request, part string) error {
	in := understand(part, req.Context())
	item := food.Item{Name: in.what, Amount: in.shopAmount(big.NewRat(1, 1))}
	need := food.Need{Name: in.what}
	if sums := food.Sum([]food.Item{item}); len(sums) == 1 {
		need = sums[0]
	}
	old, err := req.Tx.List(req.House.ID)
	if err != nil {
		return err
	}
	for _, g := range old {
		was := understand(g.Wanted, req.Context())
		if g.Whence != "" || !strings.EqualFold(was.what, in.what) || was.amount == nil || in.amount == nil || was.unit != in.unit || was.each != in.each {
			continue
		}
		if err := req.Tx.TakeOff(g.ID, req.Now); err != nil {
			return err
		}
		in.amount = new(big.Rat).Add(in.amount, was.amount)
		part = in.times(big.NewRat(1, 1))
	}
	return req.Tx.AddToGet(req.House.ID, req.Who.ID, storage.ToGet{Item: in.what, Wanted: part, Section: string(food.SectionOf(need))}, req.Now)
}

// things parts "eggs and bin bags, 2 l milk".
func things(text string) []string {
	var out []string
	for _, part := range strings.FieldsFunc(strings.ReplaceAll(text, " and ", ","), func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}

// onTheList finds what a line names among what is to be got.
func onTheList(req *desk.Request, what string) ([]storage.ToGet, error) {
	all, err := req.Tx.List(req.House.ID)
	if err != nil {
		return nil, err
	}
	var found []storage.ToGet
	for _, part := range things(what) {
		for _, g := range all {
			var want []string
			for _, w := range phrase.Words(understand(part, req.Context()).what) {
				if !phrase.IsFiller(w) {
					want = append(want, w)
				}
			}
			has := phrase.Words(g.Item + " " + g.Wanted)
			if len(want) > 0 && !slices.ContainsFunc(want, func(w string) bool {
				return !slices.ContainsFunc(has, func(h string) bool { return sameWord(h, w) })
			}) && !slices.ContainsFunc(found, func(f storage.ToGet) bool { return f.ID == g.ID }) {
				found = append(found, g)
			}
		}
	}
	return found, nil
}

func plainGot(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") {
		return false
	}
	what := req.AfterForm()
	if req.Mentions("out", "in", "up", "off", "back", "he", "she") {
		return false
	}
	found, err := onTheList(req, what)
	return err == nil && len(found) >= len(things(what)) && len(found) > 0
}

// got ticks things off the list.
func got(req *desk.Request) (desk.Reply, error) {
	return strike(req, req.AfterForm(), "got")
}

func strike(req *desk.Request, what, how string) (desk.Reply, error) {
	found, err := onTheList(req, what)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(found) == 0 {
		return desk.AskBack(fmt.Sprintf("%s is not on the list. What is: list", desk.Quote(what))), nil
	}
	var names []string
	for _, g := range found {
		names = append(names, g.Wanted)
	}
	text := fmt.Sprintf("%s: %s", how, strings.Join(names, ", "))
	if err := req.Record(storage.Entry{Kind: "list", About: "list", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, g := range found {
		if err := req.Tx.Got(g.ID, req.Now); err != nil {
			return desk.Reply{}, err
		}
	}
	return desk.Quietly(desk.Upper(text) + "."), nil
}

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
