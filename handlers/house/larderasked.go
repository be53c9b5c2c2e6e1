package house

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func larderAskedAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}
	setup := []string{"larder 24 eggs", "larder 6 tins tomatoes"}
	return []desk.Ask{
		{
			Name: "larder", Command: "larder", Text: true, Question: true, Help: "how much of a thing is there", Forms: []string{"^how many|much * have we|i|got", "^how many|much * do we|i have", "^how many|much * there", "^how many|much * left", "^how many|much * in the larder", "^are|is there any|some", "^have we any|got", "^any * left"},
			Examples: []desk.Example{{Setup: setup, Line: "how many eggs have we got"}, {Setup: setup, Line: "are there any tins of tomatoes left"}}, Plain: func(req *desk.Request) bool { lots, err := askedLots(req); return err == nil && len(lots) > 0 }, Do: howMuch,
		},
		{
			Name: "larder", Command: "larder", Keep: true, Text: true, Kinds: kinds, Help: "something of the larder was used", Forms: []string{"^opened", "^used", "^used up", "^took", "^we|i used|opened|ate", "^ate"},
			Examples: []desk.Example{{Setup: setup, Line: "used 2 tins of tomatoes"}, {Setup: setup, Line: "opened a tin of tomatoes"}, {Setup: setup, Line: "took half a dozen eggs for the pancakes"}},
			Plain:    func(req *desk.Request) bool { _, ok := readUsed(req); return ok }, Do: used,
		},
		{
			Name: "larder", Command: "larder", Keep: true, Text: true, Kinds: kinds, Needs: []desk.Need{{Kind: phrase.KindQuantity}, {Kind: phrase.KindNumber}}, Help: "something is in the larder", Forms: []string{"in the larder$"},
			Examples: []desk.Example{{Line: "30 eggs in the larder"}}, Plain: func(req *desk.Request) bool {
				first := req.Reading.Tokens[0]
				_, reply, ok := readMove(req)
				return ok && reply.Head == "" && (first.Kind == phrase.Num || numberWord(first.Low)) && !strings.HasSuffix(req.Text, "?")
			}, Do: stock,
		},
		{
			Name: "larder", Command: "larder", Text: true, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindUntil, phrase.KindDuration}, Help: "not to be eaten or drunk until a day, as a label says; lift ends it", Forms: []string{"^larder hold", "^larder lift", "^hold * larder"},
			Examples: []desk.Example{{Setup: setup, Line: "larder hold eggs until 12 march, hens wormed"}, {Setup: append(slices.Clone(setup), "larder hold eggs until 12 march"), Line: "larder lift eggs"}}, Do: hold,
		},
	}
}

// askedLots are the lots that a question names.
func askedLots(req *desk.Request) ([]storage.Lot, error) {
	var want []string
	each := ""
	for _, t := range req.Reading.Tokens {
		if t.Kind != phrase.Word || slices.Contains([]string{"how", "many", "much", "have", "we", "i", "got", "left", "is", "are", "there", "any", "some", "in", "the", "larder", "of", "still", "do", "now", "our", "please", "thanks", "a"}, t.Low) {
			continue
		}
		want = append(want, t.Low)
	}
	if len(want) > 1 {
		if g, _ := desk.ReadGoods("2 "+strings.Join(want, " "), req.Context()); g.Each != "" {
			each, want = g.Each, phrase.Words(g.Item)
		}
	}
	all, err := req.Tx.Lots(req.House.ID, false)
	return slices.DeleteFunc(all, func(l storage.Lot) bool {
		return len(want) == 0 || each != "" && l.Each != each || !namesThing(l.Item, strings.Join(want, " "))
	}), err
}

// howMuch says what the larder has of a thing.
func howMuch(req *desk.Request) (desk.Reply, error) {
	lots, err := askedLots(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(lots) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	item := lots[0].Item
	lots = slices.DeleteFunc(lots, func(l storage.Lot) bool { return l.Left < smallest })
	if len(lots) == 0 {
		return desk.Answer(fmt.Sprintf("No %s is left in the larder's book.", item)), nil
	}
	var lines []string
	for len(lots) > 0 {
		first := lots[0]
		same := func(l storage.Lot) bool { return countedAlike(l, first) && l.Hold.Equal(first.Hold) }
		alike := slices.DeleteFunc(slices.Clone(lots), func(l storage.Lot) bool { return !same(l) })
		lots = slices.DeleteFunc(lots, same)
		lines = append(lines, stockLine(req, alike))
	}
	return desk.Answer("In the larder: "+lines[0]+".", lines[1:]...), nil
}

// readUsed reads what was used of a thing that the larder has.
func readUsed(req *desk.Request) (move, bool) {
	m := move{way: "out", cost: -1}
	if strings.ContainsAny(req.Text, "?!") || req.Mentions("larder", "batch") {
		return m, false
	}
	w := words(req.Reading.Tokens)
	if i := w.find("opened", "used", "took", "ate"); i >= 0 {
		w = w[i+1:]
	}
	if i := w.find("for"); i > 0 {
		w = w[:i]
	}
	w = slices.DeleteFunc(slices.Clone(w), func(t phrase.Token) bool { return t.Low == "up" || slices.Contains(tails, t.Low) })
	g, trouble := desk.ReadGoods(w.text(), req.Context())
	if trouble != desk.NoTrouble || g.Bare && w.low(0) != "a" && w.low(0) != "an" && w.low(0) != "the last" || g.Amount <= 0 {
		return m, false
	}
	lots, err := req.Tx.Lots(req.House.ID, true)
	m.goods = g
	return m, err == nil && len(lotsOf(lots, g)) > 0
}

// used draws it.
func used(req *desk.Request) (desk.Reply, error) {
	m, ok := readUsed(req)
	if !ok {
		return desk.Reply{}, desk.ErrSilent
	}
	all, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	return takeForEating(req, m, lotsOf(all, m.goods))
}

// hold writes until when a thing of the larder is not to be eaten, or lifts it.
func hold(req *desk.Request) (desk.Reply, error) {
	lift := strings.HasPrefix(req.Form, "^larder lift")
	text := req.AfterForm()
	until, why := req.Reading.Moment(req.Context(), phrase.Future), ""
	if i := slices.IndexFunc(req.Reading.Spans, func(s phrase.Span) bool { return s.Kind == phrase.KindUntil || s.Kind == phrase.KindDate }); i >= 0 {
		s := req.Reading.Spans[i]
		until.Wall, until.Count = s.Value.(phrase.Date).Next, 1
		why = strings.Trim(req.Text[s.End:], " ,.;:-")
		text = strings.TrimSpace(req.Text[len(req.Text)-len(text) : max(s.Start, len(req.Text)-len(text))])
	}
	item := strings.TrimSuffix(strings.TrimSpace(text), " until")
	all, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return desk.Reply{}, err
	}
	lots := slices.DeleteFunc(all, func(l storage.Lot) bool { return item == "" || !namesThing(l.Item, item) })
	switch {
	case len(lots) == 0:
		return desk.AskBack("What of the larder? For example: larder hold eggs until 12 march, hens wormed"), nil
	case !lift && until.Count == 0:
		return desk.AskBack("Until which day? For example: larder hold eggs until 12 march, hens wormed"), nil
	case !req.Grown():
		return desk.Refuse("An adult says what may be eaten."), nil
	case !lift && !until.Wall.After(req.Wall):
		return desk.AskBack("Until which day to come? For example: larder hold eggs until 12 march"), nil
	}
	var at time.Time
	said := fmt.Sprintf("%s may be eaten", lots[0].Item)
	if !lift {
		at = req.Instant(until.Wall)
		said = fmt.Sprintf("%s not to be eaten or drunk before %s", lots[0].Item, req.SayDay(at))
		if why != "" {
			said += ": " + why
		}
	}
	if err := req.Record(storage.Entry{Kind: "larder", About: "larder:" + lots[0].Item, Text: said}); err != nil {
		return desk.Reply{}, err
	}
	for _, l := range lots {
		if err := req.Tx.HoldLot(l.ID, at, why); err != nil {
			return desk.Reply{}, err
		}
	}
	return desk.Answer(desk.Upper(said)+".", "By the label of what was given, or the vet's word."), nil
}
