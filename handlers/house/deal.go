package house

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// dealAsks are what goes out of the house and comes in, with whom.
func dealAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindNumber, phrase.KindQuantity}
	ask := func(command, help string, forms []string, examples ...desk.Example) desk.Ask {
		return desk.Ask{Name: "dealing", Command: command, Keep: true, Text: true, Kinds: kinds, Help: help, Forms: forms, Examples: examples, Plain: plainDeal, Do: deal}
	}
	stocked := []string{"larder 30 eggs"}
	verbs := ask("gave", "the same with a slip in its word", []string{"^gave", "^sold", "^swapped", "^picked", "^bought", "^brought"}, desk.Example{Line: "gvae Ruth 12 eggs"})
	verbs.Needs = []desk.Need{{Kind: phrase.KindNumber}, {Kind: phrase.KindQuantity}}
	return []desk.Ask{
		ask("gave", "something was given away, drawn from the larder", []string{"^gave", "gave", "^took", "took", "dozen|eggs|egg|milk|honey|butter|jam to", "kg|g|lb|l|litres|jars|jar|tins|bags|bunches|loaves|bottles|boxes|dozen * to", "got|had * from us", "sent", "^let * have", "^left * for"},
			desk.Example{Setup: stocked, Line: "gave 24 eggs to Ruth"}, desk.Example{Line: "gave Ruth the pie dish"}, desk.Example{Line: "Pim gave Morag 6 eggs"}),
		ask("sold", "something was sold; not paid yet is owed", []string{"^sold", "sold", "bought"},
			desk.Example{Setup: stocked, Line: "sold 2 dozen eggs to Ruth for 6"}, desk.Example{Line: "sold 3 jars of jam to Morag at 4.50, not paid yet"}, desk.Example{Line: "sold 36 eggs at the market for 9"}),
		ask("swapped", "one thing for another", []string{"^swapped", "swapped|swopped|traded|bartered"},
			desk.Example{Setup: stocked, Line: "swapped 24 eggs for 4 l milk with Ruth"}, desk.Example{Line: "swapped Ruth 2 jars of honey for 12 bales hay"}, desk.Example{Line: "Ruth swapped us 4 l milk for 24 eggs"}),
		ask("got", "something came in, from whom; a dish came back", []string{"^got", "got|had|bought * from", "gave|brought|dropped us|off", "gave|brought", "brought", "gave|brought * back", "^returned", "returned"},
			desk.Example{Line: "Ruth brought us 2 kg of lamb"}, desk.Example{Line: "got 2 jars of honey from Morag"}, desk.Example{Setup: []string{"gave Ruth the pie dish"}, Line: "Ruth gave the dish back"}),
		ask("picked", "picked into the larder", []string{"^picked", "picked|harvested|dug|gathered"},
			desk.Example{Line: "picked 9 kg tomatoes"}, desk.Example{Line: "3 kg leeks picked this morning"}, desk.Example{Line: "Lise picked 2 kg plums"}),
		ask("putup", "put up into the larder: jars, bags, bunches", []string{"^putup", "^put up", "put up", "put * up", "made", "bottled|froze|canned|dried|jarred"},
			desk.Example{Line: "put up 14 jars of chutney"}, desk.Example{Line: "froze 4 bags of peas"}, desk.Example{Line: "/putup 14 jars plum jam"}),
		ask("lent", "a thing that comes back", []string{"^lent", "lent|loaned|borrowed", "has|got our", "is|are at", "left * at", "is|are back$"},
			desk.Example{Line: "lent Ruth the big pan"}, desk.Example{Line: "Ruth has our blue dish"}, desk.Example{Line: "Ruth lent us the drill"}),
		verbs,
	}
}

func plainDeal(req *desk.Request) bool {
	_, ok := readDealt(req)
	return ok
}

// deal writes down what went out and what came in.
func deal(req *desk.Request) (desk.Reply, error) {
	d, ok := readDealt(req)
	switch {
	case !ok:
		return desk.Reply{}, desk.ErrSilent
	case d.refusal != "":
		return desk.Refuse(d.refusal), nil
	case d.question != "":
		return desk.AskBack(d.question), nil
	}
	if d.by.ID != 0 {
		req.Who = d.by
	}
	with, isKnown, err := neighbourNamed(req, d.whom)
	if err != nil {
		return desk.Reply{}, err
	}
	if d.whom != "" && !isKnown {
		if reply, ok, err := nearName(req, d.whom); err != nil || !ok {
			return reply, err
		}
		with.Name = d.whom
	}
	if d.back {
		return bringBack(req, d, with)
	}
	if reply, ok, err := lentAlready(req, &d, with); err != nil || !ok {
		return reply, err
	}
	money, reply, ok := d.money(req)
	if !ok {
		return reply, nil
	}
	stock, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	var draws []drawn
	for _, g := range d.out {
		from, reply, ok, err := d.drawable(req, stock, g)
		if err != nil || !ok {
			return reply, err
		}
		draws = append(draws, from)
	}
	text := d.said(req, with.Name, money)
	if err := req.Record(storage.Entry{Kind: "dealing", About: aboutDeal(with.Name), Happened: d.at, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Quietly(desk.Upper(text) + ".")
	if d.whom != "" && !isKnown {
		if with, err = req.Tx.AddNeighbour(req.House.ID, d.whom, req.Now); err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, "New, and written down as a neighbour: "+with.Name+".")
		out.Quiet = false
	}
	left, err := d.write(req, with, draws, money)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(left) > 0 {
		out.Head = desk.Upper(text) + ": " + desk.List(left) + " in the larder."
	}
	gone, err := allDrawn(req, draws)
	if err != nil {
		return desk.Reply{}, err
	}
	if gone != "" {
		out.Lines = append(out.Lines, gone)
	}
	moved, err := d.moved(req, draws)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, moved...)
	if out.Cautions, err = d.warnings(req, with.Name); err != nil {
		return desk.Reply{}, err
	}
	if d.price.unpaid && money > 0 {
		owed, err := balance(req, with.ID)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, sayMoney(with.Name, owed.money))
	}
	out.Quiet = out.Quiet && len(out.Cautions)+len(out.Lines) == 0
	return out, nil
}

// moved tells the desks of what is not the larder's: feed by the sack.
func (d dealt) moved(req *desk.Request, draws []drawn) (lines []string, err error) {
	for _, from := range draws {
		if len(from.lots) > 0 || d.asleep {
			continue
		}
		said, err := req.Roster.Moved(req, from.goods, true, d.at)
		if err != nil {
			return nil, err
		}
		lines = append(lines, said...)
	}
	return lines, nil
}

func aboutDeal(name string) string {
	if name == "" {
		return "larder"
	}
	return "neighbour:" + strings.ToLower(name)
}

// money is the whole price of what was sold or bought.
func (d dealt) money(req *desk.Request) (float64, desk.Reply, bool) {
	if !d.price.said {
		if d.price.unpaid {
			return 0, desk.AskBack("For how much? For example: sold 24 eggs to Ruth for 6, not paid yet"), false
		}
		return 0, desk.Reply{}, true
	}
	sum, ok := d.price.total(req, append(slices.Clone(d.out), d.in...))
	if !ok {
		return 0, desk.AskBack("For how much in all? For example: sold 24 eggs to Ruth for 6"), false
	}
	return sum, desk.Reply{}, true
}

// drawn is what one thing of a dealing takes out of which lots.
type drawn struct {
	goods desk.Goods
	lots  []storage.Lot
	none  bool // the larder has none of it
}

// drawable finds the lots that a thing comes out of: none of what the larder's book does
// not have. What is held is not given to eat, and more than there is, is asked about.
func (d dealt) drawable(req *desk.Request, stock []storage.Lot, g desk.Goods) (from drawn, reply desk.Reply, ok bool, err error) {
	lots := lotsOf(stock, g)
	if d.asleep {
		return drawn{goods: g}, reply, true, nil
	}
	free := slices.DeleteFunc(slices.Clone(lots), func(l storage.Lot) bool { return l.Held(req.Now) })
	have, there := sumOf(free, g.Dim), sumOf(lots, g.Dim)
	if len(free) > 0 && g.Amount <= have+smallest {
		return drawn{goods: g, lots: free}, reply, true, nil
	}
	others := "If these were others: say it with \"not from the larder\" behind."
	if i := slices.IndexFunc(lots, func(l storage.Lot) bool { return l.Held(req.Now) }); i >= 0 && g.Amount <= there+smallest {
		return from, desk.Refuse(fmt.Sprintf("Not to be given to eat: %s in the larder: %s.", g.Item, heldUntil(req, lots[i])), others), false, nil
	}
	held, err := req.Roster.Held(req, g.Item)
	if err != nil {
		return from, reply, false, err
	}
	switch {
	case len(held) > 0:
		return from, desk.Refuse("Not to be given to eat: "+held[0]+".", others), false, nil
	case len(lots) == 0:
		return drawn{goods: g, none: true}, reply, true, nil
	}
	text := pressed(strings.TrimPrefix(strings.TrimRight(req.Text, " .!"), "/"))
	return from, desk.AskBack(fmt.Sprintf("The larder's book has only %s. Is the number right, or were they not from there?", sayDealt(req, with(g, there))),
		desk.Labelled("Not from the larder", text+" not from the larder")), false, nil
}

// write adds the rows of a dealing, draws what went out and shelves what came in. It
// returns what is left of each in the larder, for people.
func (d dealt) write(req *desk.Request, n storage.Neighbour, draws []drawn, money float64) (left []string, err error) {
	add := func(g desk.Goods, out bool) (storage.Dealing, error) {
		return req.Tx.AddDealing(storage.Dealing{Household: req.House.ID, At: d.at, Way: d.way, Out: out, Neighbour: n.ID, Item: g.Item, Each: g.Each, Dim: g.Dim, Amount: g.Amount, Owed: d.way == "lent"})
	}
	for _, from := range draws {
		row, err := add(from.goods, true)
		if err != nil {
			return nil, err
		}
		if len(from.lots) == 0 {
			continue
		}
		rest, err := drawGoods(req, from.goods, from.lots, row.ID, from.goods.Amount)
		if err != nil {
			return nil, err
		}
		left = append(left, leftOf(req, from.goods, rest, len(draws)+len(d.in) > 1))
	}
	for _, g := range d.in {
		if _, err := add(g, false); err != nil {
			return nil, err
		}
		m := move{goods: g, whence: cmp.Or(n.Name, strings.TrimPrefix(d.place, "from ")), cost: -1, got: d.at}
		if d.way == "bought" && money > 0 {
			m.cost = money
		}
		if err := shelve(req, m); err != nil {
			return nil, err
		}
		lots, err := req.Tx.Lots(req.House.ID, true)
		if err != nil {
			return nil, err
		}
		left = append(left, leftOf(req, g, sumOf(lotsOf(lots, g), g.Dim), len(draws)+len(d.in) > 1))
	}
	for _, dish := range d.dishes {
		if err := req.Tx.AddLoan(req.House.ID, storage.Loan{Neighbour: n.ID, Item: dish, Ours: d.way != "borrowed", Since: d.at}); err != nil {
			return nil, err
		}
	}
	return left, d.writeMoney(req, n, money)
}

// allDrawn says what was kept in the larder and had run out before this went out.
func allDrawn(req *desk.Request, draws []drawn) (string, error) {
	all, err := req.Tx.Lots(req.House.ID, false)
	if err != nil {
		return "", err
	}
	var items []string
	for _, d := range draws {
		if d.none && len(lotsOf(all, d.goods)) > 0 {
			items = append(items, d.goods.Item)
		}
	}
	if len(items) == 0 {
		return "", nil
	}
	return fmt.Sprintf("The larder's book had no %s left: nothing was taken off it.", desk.List(items)), nil
}

func leftOf(req *desk.Request, g desk.Goods, rest float64, several bool) string {
	if several {
		return sayDealt(req, with(g, rest))
	}
	return sayMuch(req, with(g, rest))
}

// writeMoney adds what was paid, or what is owed, for the things of a dealing.
func (d dealt) writeMoney(req *desk.Request, n storage.Neighbour, money float64) error {
	if money <= 0 {
		return nil
	}
	var items []string
	for _, g := range append(slices.Clone(d.out), d.in...) {
		items = append(items, g.Item)
	}
	sale := d.way == "sold"
	_, err := req.Tx.AddDealing(storage.Dealing{
		Household: req.House.ID, At: d.at, Way: d.way, Out: sale == d.price.unpaid, Neighbour: n.ID, Item: strings.Join(items, " and "), Dim: storage.Money, Amount: money, Owed: d.price.unpaid,
	})
	return err
}

// warnings say what of it the neighbour must not have, and what may be held from eating.
func (d dealt) warnings(req *desk.Request, name string) (out []string, err error) {
	for _, g := range d.out {
		held, err := req.Roster.Held(req, g.Item)
		if err != nil {
			return nil, err
		}
		for _, text := range held {
			out = append(out, fmt.Sprintf("%s. If these are such, they are not to be eaten: tell %s.", text, cmp.Or(name, "whoever has them")))
		}
		what, err := mustNot(req, name, g.Item)
		if err != nil {
			return nil, err
		}
		if name != "" && len(what) > 0 {
			out = append(out, fmt.Sprintf("%s must not have %s, and by its name %s has it: tell %s before it is eaten, and read the label.", name, desk.List(what), g.Item, name))
		}
	}
	return out, nil
}

// said writes a dealing for the day book.
func (d dealt) said(req *desk.Request, name string, money float64) string {
	out, in := sayAll(req, d.out), sayAll(req, d.in)
	var dishes []string
	for _, dish := range d.dishes {
		dishes = append(dishes, theDish(dish))
	}
	if d.way != "swapped" && d.way != "borrowed" && len(dishes) > 0 {
		out = append(out, desk.List(dishes))
	}
	text := d.way + " "
	switch {
	case d.way == "swapped":
		text += desk.List(out) + " for " + desk.List(in) + " with " + name
	case d.way == "borrowed":
		text += desk.List(dishes) + " from " + name
	case (d.way == "got" || d.way == "bought") && name == "":
		text += desk.List(in) + " " + d.place
	case d.way == "got" || d.way == "bought":
		text += desk.List(in) + " from " + name
	case d.way == "picked" || d.way == "put up":
		text += desk.List(in)
	case name != "":
		text += name + " " + desk.List(out)
	default:
		text += strings.TrimSpace(desk.List(out) + " " + d.place)
	}
	if money > 0 {
		text += fmt.Sprintf(" for %.2f", money)
		if d.price.unpaid {
			text += ", not paid yet"
		}
	}
	if at := req.WallOf(d.at); !reminders.Day(at).Equal(reminders.Day(req.Wall)) {
		text += " on " + reminders.SayDay(at, req.Wall, req.House.DayFirst)
	}
	return text
}

func sayAll(req *desk.Request, all []desk.Goods) (out []string) {
	for _, g := range all {
		out = append(out, sayDealt(req, g))
	}
	return out
}

// theDish names a lent thing: the pie dish, two jars.
func theDish(dish string) string {
	first, _, _ := strings.Cut(dish, " ")
	if numberWord(first) || first != "" && first[0] >= '0' && first[0] <= '9' {
		return dish
	}
	return "the " + dish
}
