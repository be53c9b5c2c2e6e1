package house

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// owing is what stands between us and a neighbour: money above 0 is owed to us, and
// things likewise.
type owing struct {
	money  float64
	things []desk.Goods
}

// balance sums what is owed with a neighbour.
func balance(req *desk.Request, neighbour int64) (o owing, err error) {
	all, err := req.Tx.Dealings(req.House.ID)
	if err != nil {
		return o, err
	}
	for _, d := range all {
		if d.Neighbour != neighbour || !d.Owed {
			continue
		}
		amount := d.Amount
		if !d.Out {
			amount = -amount
		}
		if d.Dim == storage.Money {
			o.money += amount
			continue
		}
		i := slices.IndexFunc(o.things, func(g desk.Goods) bool { return sameThing(g.Item, d.Item) && g.Dim == d.Dim && g.Each == d.Each })
		if i < 0 {
			i = len(o.things)
			o.things = append(o.things, desk.Goods{Item: d.Item, Each: d.Each, Dim: d.Dim})
		}
		o.things[i].Amount += amount
	}
	o.money = math.Round(o.money*100) / 100
	return o, nil
}

// sayMoney writes a balance in words.
func sayMoney(name string, money float64) string {
	switch {
	case money > 0:
		return fmt.Sprintf("%s owes us %.2f.", name, money)
	case money < 0:
		return fmt.Sprintf("We owe %s %.2f.", name, -money)
	}
	return fmt.Sprintf("Square with %s: no money is owed.", name)
}

func owedAsks() []desk.Ask {
	unpaid := []string{"sold 24 eggs to Ruth for 6, not paid yet"}
	numbers := []phrase.Kind{phrase.KindNumber}
	return []desk.Ask{
		{
			Name: "dealing", Command: "paid", Text: true, Keep: true, Kinds: numbers, Help: "money that was paid, or is owed", Forms: []string{"paid", "^paid", "owes us|me", "we|i owe"},
			Examples: []desk.Example{{Setup: unpaid, Line: "Ruth paid 4"}, {Line: "Ruth owes us 4 for the hay"}, {Setup: []string{"bought 12 bales of hay from Alasdair for 48, not paid yet"}, Line: "paid Alasdair 20"}}, Plain: func(req *desk.Request) bool { _, ok := readPayment(req); return ok }, Do: payment,
		},
		{
			Name: "owed", Command: "paid", Text: true, Question: true, Help: "who owes what", Forms: []string{"what|much does|do * owe", "what's|whats * owing", "who owes us|money", "are we square|even|quits with", "^balance with"},
			Examples: []desk.Example{{Setup: unpaid, Line: "what does Ruth owe us"}, {Setup: unpaid, Line: "who owes us money"}}, Plain: func(req *desk.Request) bool {
				_, ok := neighbourIn(req)
				return ok || strings.HasPrefix(req.Form, "who") || namedLast(req) != ""
			}, Do: owed,
		},
		{
			Name: "neighbours", Command: "neighbours", Text: true, Question: true, Help: "the neighbours: what they must not eat, what they have of ours, what is owed", Forms: []string{"^neighbours$", "^neighbors$", "^our neighbours$", "^neighbours add", "who are our neighbours|neighbors"},
			Examples: []desk.Example{{Setup: unpaid, Line: "neighbours"}, {Line: "neighbours add Morag"}, {Setup: unpaid, Line: "who are our neighbours"}}, Do: neighbours,
		},
	}
}

// paid is what a line tells about money by itself.
type paid struct {
	whom   string
	amount float64 // 0 when not said
	forIt  string  // what it is for
	ours   bool    // we paid, or we owe
	debt   bool    // owed now, not paid
	doubt  bool
}

// readPayment reads Ruth paid 4, paid Alasdair 20, Ruth owes us 4 for the hay.
func readPayment(req *desk.Request) (p paid, ok bool) {
	if strings.ContainsAny(req.Text, "?!") {
		return p, false
	}
	w := words(req.Reading.Tokens)
	for len(w) > 0 && (slices.Contains(tails, w.low(len(w)-1)) || w[len(w)-1].Kind == phrase.Mark) {
		w = w[:len(w)-1]
	}
	if w.low(0) == "/" {
		w = w[1:]
	}
	for len(w) > 1 && slices.Contains(leads, w.low(0)) {
		p.ours, w = true, w[1:]
	}
	if i := w.findLast("for"); i > 0 {
		p.forIt, w = dishName(w[i+1:]), w[:i]
	}
	if w.low(0) == "paid" && w.low(1) == "by" { // a button
		name, n := nameAt(req, w, 2)
		p.whom, p.ours = name, false
		return p.readAmount(req, w[min(2+n, len(w)):], n > 0)
	}
	if w.low(0) == "paid" || w.low(0) == "owe" {
		p.ours, p.debt, w = true, w.low(0) == "owe", w[1:]
		name, n := nameAt(req, w, 0)
		p.whom = name
		return p.readAmount(req, w[min(n, len(w)):], n > 0)
	}
	p.ours = false
	name, n := nameAt(req, w, 0)
	if n == 0 {
		return p, false
	}
	p.whom, w = name, w[n:]
	for w.low(0) == "has" || w.low(0) == "have" || w.low(0) == "now" {
		w = w[1:]
	}
	switch {
	case w.low(0) == "paid":
		w = w[1:]
		for w.low(0) == "us" || w.low(0) == "me" || w.low(0) == "back" || w.low(0) == "up" {
			w = w[1:]
		}
	case w.low(0) == "owes" && (w.low(1) == "us" || w.low(1) == "me"):
		p.debt, w = true, w[2:]
	default:
		return p, false
	}
	return p.readAmount(req, w, true)
}

// readAmount takes the sum at the end of a line about money: a number and nothing else.
func (p paid) readAmount(req *desk.Request, w words, named bool) (paid, bool) {
	if _, household := req.Person(p.whom); household || !named {
		return p, false
	}
	if len(w) == 0 {
		return p, !p.debt
	}
	if w.low(0) == "all" || w.low(0) == "everything" {
		p.forIt = "everything"
		return p, len(w) == 1 && !p.debt
	}
	v, next, ok := numberAt(w, 0)
	if !ok || v <= 0 {
		return p, false
	}
	if coin := coins[w.low(next)]; coin > 0 {
		v /= coin
		next++
	}
	if w.low(next) == "back" {
		next++
	}
	p.amount, p.doubt = v, w.low(next) == "or"
	return p, next == len(w) || p.doubt
}

// payment writes money down that was paid, or that is owed.
func payment(req *desk.Request) (desk.Reply, error) {
	p, ok := readPayment(req)
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	n, isKnown, err := neighbourNamed(req, p.whom)
	if err != nil {
		return desk.Reply{}, err
	}
	o, err := balance(req, n.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	open := o.money
	if p.ours {
		open = -open
	}
	switch {
	case !isKnown && !p.debt && !req.Direct:
		return desk.Reply{}, desk.ErrSilent // the postman paid a visit
	case !isKnown && !p.debt:
		return desk.AskBack(fmt.Sprintf("%s is no neighbour that anything is written down with.", p.whom), desk.Button("neighbours")), nil
	case !p.debt && open <= 0 && !req.Direct && strings.HasPrefix(n.Name, "the "):
		return desk.Reply{}, desk.ErrSilent // paid the vet 80
	case !p.debt && open <= 0:
		return desk.AskBack(sayMoney(n.Name, o.money) + " What was it for? Tell the sale, for example: sold 24 eggs to Ruth for 6, or bought 12 bales hay from Ruth for 48"), nil
	case p.doubt:
		return desk.AskBack("How much, as one sum? For example: Ruth paid 4"), nil
	case p.amount == 0 && p.forIt == "":
		line := fmt.Sprintf("paid by %s %.2f", n.Name, open)
		if p.ours {
			line = fmt.Sprintf("paid %s %.2f", n.Name, open)
		}
		return desk.AskBack(fmt.Sprintf("How much? %s", sayMoney(n.Name, o.money)), desk.Labelled(fmt.Sprintf("All %.2f", open), line)), nil
	case p.amount == 0:
		if p.amount, err = openFor(req, n.ID, p.forIt, open); err != nil {
			return desk.Reply{}, err
		}
	}
	return p.write(req, n, isKnown)
}

// openFor is what is owed for a thing, at most what is owed at all.
func openFor(req *desk.Request, neighbour int64, item string, open float64) (float64, error) {
	all, err := req.Tx.Dealings(req.House.ID)
	if err != nil {
		return 0, err
	}
	sum := 0.0
	for _, d := range all {
		if d.Neighbour == neighbour && d.Owed && d.Dim == storage.Money && d.Way != "paid" && strings.Contains(strings.ToLower(d.Item), desk.One(item)) {
			sum += d.Amount
		}
	}
	if sum == 0 || sum > open {
		return open, nil
	}
	return sum, nil
}

func (p paid) write(req *desk.Request, n storage.Neighbour, isKnown bool) (desk.Reply, error) {
	if n.Name == "" {
		n.Name = p.whom
	}
	text := fmt.Sprintf("%s paid %.2f", n.Name, p.amount)
	switch {
	case p.debt && p.ours:
		text = fmt.Sprintf("we owe %s %.2f", n.Name, p.amount)
	case p.debt:
		text = fmt.Sprintf("%s owes us %.2f", n.Name, p.amount)
	case p.ours:
		text = fmt.Sprintf("paid %s %.2f", n.Name, p.amount)
	}
	if p.forIt != "" && p.forIt != "everything" {
		text += " for " + p.forIt
	}
	if err := req.Record(storage.Entry{Kind: "dealing", About: aboutDeal(n.Name), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	var lines []string
	if !isKnown {
		made, err := req.Tx.AddNeighbour(req.House.ID, n.Name, req.Now)
		if err != nil {
			return desk.Reply{}, err
		}
		n = made
		lines = append(lines, "New, and written down as a neighbour: "+n.Name+".")
	}
	way := "paid"
	if p.debt {
		way = "owes"
	}
	if _, err := req.Tx.AddDealing(storage.Dealing{Household: req.House.ID, At: req.Now, Way: way, Out: p.ours != p.debt, Neighbour: n.ID, Item: p.forIt, Dim: storage.Money, Amount: p.amount, Owed: true}); err != nil {
		return desk.Reply{}, err
	}
	o, err := balance(req, n.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	head := desk.Upper(text) + "."
	if now := sayMoney(n.Name, o.money); !strings.EqualFold(now, head) {
		head += " " + now
	}
	return desk.Answer(head, lines...), nil
}

// namedLast is a name that a question ends on and that no neighbour has.
func namedLast(req *desk.Request) string {
	w := words(req.Reading.Tokens)
	for i, t := range w {
		if t.Kind == phrase.Word && i > 0 && t.Text != t.Low && t.Low != "i" {
			if _, ours := req.Person(t.Text); !ours {
				return t.Text
			}
		}
	}
	return ""
}

// owed answers what is owed with one neighbour, or with whom anything is.
func owed(req *desk.Request) (desk.Reply, error) {
	n, ok := neighbourIn(req)
	if !ok && !strings.HasPrefix(req.Form, "who") {
		name := namedLast(req)
		if name == "" {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.Answer(fmt.Sprintf("Nothing is written down with %s.", name)), nil
	}
	if ok {
		lines, err := standsWith(req, n)
		if err != nil {
			return desk.Reply{}, err
		}
		return desk.Answer(lines[0], lines[1:]...), nil
	}
	all, err := req.Tx.Neighbours(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer("Owed to us:")
	for _, n := range all {
		o, err := balance(req, n.ID)
		if err != nil {
			return desk.Reply{}, err
		}
		if o.money > 0 {
			out.Lines = append(out.Lines, sayMoney(n.Name, o.money))
		}
		out.Lines = append(out.Lines, thingsOwed(req, n.Name, o, true)...)
	}
	if len(out.Lines) == 0 {
		out.Head = "Nobody owes us anything that is written down."
	}
	return out, nil
}

// thingsOwed are lent things that are used up, flour and the like.
func thingsOwed(req *desk.Request, name string, o owing, toUs bool) (out []string) {
	for _, g := range o.things {
		switch {
		case g.Amount > smallest:
			out = append(out, fmt.Sprintf("%s owes us %s.", name, sayDealt(req, g)))
		case g.Amount < -smallest && !toUs:
			out = append(out, fmt.Sprintf("We owe %s %s.", name, sayDealt(req, with(g, -g.Amount))))
		}
	}
	return out
}

// standsWith says in words how we stand with a neighbour.
func standsWith(req *desk.Request, n storage.Neighbour) ([]string, error) {
	o, err := balance(req, n.ID)
	if err != nil {
		return nil, err
	}
	out := append([]string{sayMoney(n.Name, o.money)}, thingsOwed(req, n.Name, o, false)...)
	loans, err := req.Tx.Loans(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, l := range loans {
		if l.Neighbour == n.ID {
			out = append(out, sayLoan(req, l, map[int64]string{n.ID: n.Name})+".")
		}
	}
	return out, nil
}

// neighbours lists them, or writes one down.
func neighbours(req *desk.Request) (desk.Reply, error) {
	if strings.HasPrefix(req.Form, "^neighbours add") {
		return addNeighbour(req)
	}
	all, err := req.Tx.Neighbours(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("No neighbour is written down. The first \"gave 12 eggs to Ruth\" writes Ruth down."), nil
	}
	allergies, err := req.Tx.Allergies(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer("Neighbours:")
	for _, n := range all {
		var not []string
		for _, a := range allergies {
			if strings.EqualFold(a.Name, n.Name) {
				not = append(not, sayAllergen(a.What))
			}
		}
		lines, err := standsWith(req, n)
		if err != nil {
			return desk.Reply{}, err
		}
		line := strings.Join(lines, " ")
		if len(not) > 0 {
			line += " Must not have " + desk.List(not) + "."
		}
		out.Lines = append(out.Lines, line)
	}
	return out, nil
}

func addNeighbour(req *desk.Request) (desk.Reply, error) {
	w := words(phrase.Tokens(req.AfterForm()))
	name, n := nameAt(req, w, 0)
	if n == 0 || n != len(w) {
		return desk.AskBack("Who? By one name, for example: neighbours add Morag"), nil
	}
	if known(req, name) {
		return desk.Answer(name + " is written down already."), nil
	}
	if err := req.Record(storage.Entry{Kind: "dealing", About: aboutDeal(name), Text: name + " is a neighbour"}); err != nil {
		return desk.Reply{}, err
	}
	if _, err := req.Tx.AddNeighbour(req.House.ID, name, req.Now); err != nil {
		return desk.Reply{}, err
	}
	return desk.Quietly(name + " is written down as a neighbour."), nil
}
