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

// loansLike are the open loans that some words name: the dish, the blue dish.
func loansLike(loans []storage.Loan, said string) []storage.Loan {
	want := phrase.Words(said)
	return slices.DeleteFunc(slices.Clone(loans), func(l storage.Loan) bool {
		has := phrase.Words(l.Item)
		return len(want) == 0 || slices.ContainsFunc(want, func(w string) bool {
			return !slices.ContainsFunc(has, func(h string) bool { return sameThing(h, w) })
		})
	})
}

// bringBack closes the loan of a thing that came back, or that we took back.
func bringBack(req *desk.Request, d dealt, with storage.Neighbour) (desk.Reply, error) {
	loans, err := req.Tx.Loans(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	ours := d.way != "gave"
	loans = slices.DeleteFunc(loans, func(l storage.Loan) bool { return l.Ours != ours || with.ID != 0 && l.Neighbour != with.ID })
	found := loansLike(loans, d.dishes[0])
	if with.ID == 0 && d.whom != "" && len(found) > 0 { // with somebody new there is nothing out
		found = nil
	}
	if g, is, err := owedBack(req, d, with, ours); err != nil || is && len(found) == 0 {
		if err != nil {
			return desk.Reply{}, err
		}
		return giveBack(req, d, with, g, ours)
	}
	switch {
	case len(found) == 0 && !req.Direct && (len(loans) == 0 || d.whom == ""):
		return desk.Reply{}, desk.ErrSilent
	case len(found) == 0:
		return desk.AskBack(fmt.Sprintf("No %s is written down as lent there. What is out: which dishes are out", d.dishes[0])), nil
	case len(found) > 1:
		out := desk.AskBack("Which of them?")
		for _, l := range found {
			out.Buttons = append(out.Buttons, desk.Labelled(l.Item, fmt.Sprintf("got the %s back from %s", l.Item, with.Name)))
		}
		return out, nil
	}
	if with.ID == 0 { // the dish is back
		names, err := neighbourNames(req)
		if err != nil {
			return desk.Reply{}, err
		}
		with.Name = names[found[0].Neighbour]
	}
	text := fmt.Sprintf("%s is back from %s", theDish(found[0].Item), with.Name)
	if !ours {
		text = fmt.Sprintf("gave %s back to %s", theDish(found[0].Item), with.Name)
	}
	if err := req.Record(storage.Entry{Kind: "dealing", About: aboutDeal(with.Name), Happened: d.at, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.LoanBack(found[0].ID, d.at); err != nil {
		return desk.Reply{}, err
	}
	return desk.Quietly(desk.Upper(text) + "."), nil
}

// lentAlready leaves out of a dealing what is written down as lent and not back; ok is
// false when nothing else is left of it.
func lentAlready(req *desk.Request, d *dealt, with storage.Neighbour) (reply desk.Reply, ok bool, err error) {
	loans, err := req.Tx.Loans(req.House.ID)
	if err != nil || with.ID == 0 {
		return reply, err == nil, err
	}
	for _, l := range loans {
		i := slices.Index(d.dishes, strings.ToLower(l.Item))
		if i < 0 || l.Neighbour != with.ID || l.Ours != (d.way != "borrowed") {
			continue
		}
		if len(d.out)+len(d.in)+len(d.dishes) == 1 {
			return desk.Answer(fmt.Sprintf("Written down already: %s.", sayLoan(req, l, map[int64]string{with.ID: with.Name}))), false, nil
		}
		d.dishes = slices.Delete(d.dishes, i, i+1)
	}
	return reply, true, nil
}

// owedBack are the goods of what was lent to be used up, and comes back in kind: all
// that is owed of it when no amount is said.
func owedBack(req *desk.Request, d dealt, with storage.Neighbour, ours bool) (g desk.Goods, is bool, err error) {
	o, err := balance(req, with.ID)
	if err != nil {
		return g, false, err
	}
	g, trouble := desk.ReadGoods(d.dishes[0], req.Context())
	for _, t := range o.things {
		if !sameThing(t.Item, g.Item) || ours != (t.Amount > 0) {
			continue
		}
		if g.Bare {
			t.Amount = math.Abs(t.Amount)
			return t, true, nil
		}
		return g, trouble == desk.NoTrouble && g.Dim == t.Dim && g.Each == t.Each, nil
	}
	return g, false, nil
}

// giveBack writes that goods which were lent came back in kind, or went back.
func giveBack(req *desk.Request, d dealt, n storage.Neighbour, g desk.Goods, in bool) (desk.Reply, error) {
	text := fmt.Sprintf("%s back from %s", sayDealt(req, g), n.Name)
	if !in {
		text = fmt.Sprintf("gave %s %s back", n.Name, sayDealt(req, g))
	}
	stock, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	var from drawn
	if !in {
		got, reply, ok, err := d.drawable(req, stock, g)
		if err != nil || !ok {
			return reply, err
		}
		from = got
	}
	if err := req.Record(storage.Entry{Kind: "dealing", About: aboutDeal(n.Name), Happened: d.at, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	row, err := req.Tx.AddDealing(storage.Dealing{Household: req.House.ID, At: d.at, Way: "returned", Out: !in, Neighbour: n.ID, Item: g.Item, Each: g.Each, Dim: g.Dim, Amount: g.Amount, Owed: true})
	if err != nil {
		return desk.Reply{}, err
	}
	if in {
		err = shelve(req, move{goods: g, whence: n.Name, cost: -1, got: d.at})
	} else if len(from.lots) > 0 {
		_, err = drawGoods(req, g, from.lots, row.ID, g.Amount)
	}
	if err != nil {
		return desk.Reply{}, err
	}
	lines, err := standsWith(req, n)
	if err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(desk.Upper(text)+".", lines[1:]...), nil
}

func loanAsks() []desk.Ask {
	setup := []string{"Ruth has our blue dish"}
	return []desk.Ask{
		{
			Name: "lent", Command: "lent", Text: true, Question: true, Help: "who has what of ours", Forms: []string{"who has|'s|got our|the", "who's got our|the", "^where's|wheres the|our", "^where is the|our", "what|which dishes|things are|is out|lent", "what's|what is lent", "what * of ours", "^lent$"},
			Examples: []desk.Example{{Setup: setup, Line: "who has our blue dish"}, {Setup: setup, Line: "what has Ruth got of ours"}, {Setup: setup, Line: "which dishes are out"}},
			Plain: func(req *desk.Request) bool {
				loans, err := loansAsked(req)
				return err == nil && (len(loans) > 0 || req.Mentions("dishes", "ours") && !whoseDishes(req))
			}, Do: whoHas,
		},
	}
}

// loansAsked are the loans that a question is about.
func loansAsked(req *desk.Request) ([]storage.Loan, error) {
	loans, err := req.Tx.Loans(req.House.ID)
	if err != nil {
		return nil, err
	}
	w := words(req.Reading.Tokens)
	if req.Mentions("ours") || req.Mentions("dishes", "things") || len(w) < 3 {
		if n, ok := neighbourIn(req); ok {
			loans = slices.DeleteFunc(loans, func(l storage.Loan) bool { return l.Neighbour != n.ID || !l.Ours })
		}
		return loans, nil
	}
	i := w.find("our", "the")
	if i < 0 {
		return nil, nil
	}
	return loansLike(loans, strings.TrimRight(w[i+1:].text(), "?. ")), nil
}

// neighbourIn is the neighbour whom a question names.
func neighbourIn(req *desk.Request) (storage.Neighbour, bool) {
	all, err := req.Tx.Neighbours(req.House.ID)
	if err != nil {
		return storage.Neighbour{}, false
	}
	for _, n := range all {
		want := phrase.Words(n.Name)
		for i := range req.Reading.Tokens {
			if i+len(want) <= len(req.Reading.Tokens) && slices.EqualFunc(want, req.Reading.Tokens[i:i+len(want)], func(a string, t phrase.Token) bool { return a == strings.TrimSuffix(t.Low, "'s") }) {
				return n, true
			}
		}
	}
	return storage.Neighbour{}, false
}

// whoseDishes reports "who has the dishes on thursday": whose work they are, where none
// are lent.
func whoseDishes(req *desk.Request) bool {
	return strings.HasPrefix(req.Form, "who") && req.Mentions("dishes") && !req.Mentions("our", "ours")
}

func whoHas(req *desk.Request) (desk.Reply, error) {
	loans, err := loansAsked(req)
	if err != nil {
		return desk.Reply{}, err
	}
	names, err := neighbourNames(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(loans) == 0 && whoseDishes(req) {
		return desk.Reply{}, desk.ErrSilent
	}
	if len(loans) == 0 {
		return desk.Answer("Nothing is written down as lent there."), nil
	}
	if len(loans) == 1 {
		return desk.Answer(sayLoan(req, loans[0], names) + "."), nil
	}
	out := desk.Answer("Lent:")
	for _, l := range loans {
		out.Lines = append(out.Lines, sayLoan(req, l, names))
	}
	return out, nil
}

func sayLoan(req *desk.Request, l storage.Loan, names map[int64]string) string {
	if !l.Ours {
		return fmt.Sprintf("We have %s of %s, since %s", strings.TrimPrefix(theDish(l.Item), "the "), names[l.Neighbour], req.SayDay(l.Since))
	}
	return fmt.Sprintf("%s has %s, since %s", names[l.Neighbour], theDish(l.Item), req.SayDay(l.Since))
}

func neighbourNames(req *desk.Request) (map[int64]string, error) {
	all, err := req.Tx.Neighbours(req.House.ID)
	out := map[int64]string{}
	for _, n := range all {
		out[n.ID] = n.Name
	}
	return out, err
}
