package barn

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"yardbell/calc/feed"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// feedWords belong to a line that tells of feed.
var feedWords = []string{
	"bought", "got", "get", "have", "has", "sack", "sacks", "bag", "bags", "bale", "bales", "tub", "tubs", "of", "each", "kg", "new", "opened", "open", "started", "left", "down", "to", "about", "half", "full", "empty", "gone", "all", "out", "used", "fed", "feed", "pellets", "pellet", "crumbs", "crumb", "nuts", "mash", "meal", "hay", "straw", "in", "came", "arrived", "more", "another", "last", "is", "are", "there", "only", "at", "for", "from",
	"today", "this", "bedding", "been", "x", "by", "per", "delivered", "fetched", "brought", "we're", "weve", "the", "put", "now", "a", "goats", "grower", "growers", "ran", "finished", "pack", "corn", "just", "still", "up", "on", "it", "lb", "cost", "costs", "paid", "weigh", "weighs", "spilled", "spilt", "spoiled", "mouldy", "moldy", "went",
}

func feedAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindQuantity, phrase.KindNumber})
	lists := []string{"feeds", "livestock", "herds"}
	stocked := []string{"we have 24 hens", "bought 3 sacks of 20 kg layers pellets"}
	askWords := []string{"when", "does", "do", "will", "the", "run", "runs", "out", "how", "long", "last", "lasts", "left", "much", "many", "is", "there", "what", "what's", "whats", "feed", "pellets", "pellet", "crumbs", "nuts", "mash", "meal", "hay", "straw", "bales", "bale", "of", "have", "got", "we", "still", "enough", "us", "for", "hens", "until", "sacks", "sack", "bag", "bags", "does", "in", "stock", "corn", "meadow", "food", "till", "should", "buy", "get", "order", "more", "next", "need", "to", "i", "any", "really", "use", "using", "growers", "a", "our", "are"}
	return []desk.Ask{
		{
			Name: "feed", Command: "feed", Keep: true, Text: true, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "feeds"}, {Kind: phrase.KindQuantity}, {Kind: phrase.KindNumber}}, Help: "feed bought, opened, left or used; hay and straw in bales", Kinds: kinds, Lists: lists,
			Forms: []string{"^feed", "bought|got|opened|used|delivered|fetched|fed|spilled|spilt|spoiled", "sack|sacks|bag|bags|bale|bales", "down to|too", "pellets|nuts|mash|crumbs|hay|straw", "x", "feed is all|gone"},
			Examples: []desk.Example{
				{Setup: stocked[:1], Line: "bought 3 sacks of 20 kg layers pellets"},
				{Setup: stocked, Line: "pellets are down to 5 kg"},
				{Line: "we have 40 bales of hay"},
				{Setup: stocked, Line: "opened a new sack of layers pellets"},
			},
			Plain: plainFeed, Do: tellFeed,
		},
		{
			Name: "feed", Command: "feed", Keep: true, Text: true, Help: "that a feed is out, or a new sack is open",
			Forms: []string{"^out of", "out of", "all gone", "^opened", "^last sack|bag", "is|are empty|finished", "^used|opened a bale|sack|bag"}, Kinds: kinds, Lists: lists, Examples: []desk.Example{{Setup: stocked, Line: "opened a new sack"}, {Setup: stocked, Line: "the hens feed is all gone"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && len(strangers(req, feedWords...)) == 0 && (slices.ContainsFunc(termsOf(req, "feeds"), func(t phrase.Term) bool { return farmFeed(t.Name) }) || hasWord(req, "feed", "pellets", "sack", "bag", "bale", "nuts", "mash"))
			}, Do: tellFeed,
		},
		{
			Name: "feed", Command: "feed", Keep: true, Text: true, Help: "that a feed is low: it goes on the list", Lists: lists,
			Forms: []string{"nearly|almost out|gone|empty|finished", "running|getting low|out", "low on"}, Examples: []desk.Example{{Setup: stocked, Line: "layers pellets nearly out"}},
			Plain: func(req *desk.Request) bool {
				return !strings.Contains(req.Text, "?") && len(strangers(req, slices.Concat(feedWords, []string{"nearly", "almost", "running", "getting", "low", "we", "are"})...)) == 0 && (len(termsOf(req, "feeds")) > 0 || hasWord(req, looseFeed...))
			}, Do: feedLow,
		},
		{
			Name: "feed", Command: "feed", Keep: true, Question: true, Help: "what feed there is, and when it runs out", Lists: lists, Fill: askWords,
			Forms:    []string{"^feed$", "when|whens|when's * run|runs out", "how long * last|lasts", "left of the feed", "how much|many * left", "how much|many bales|sacks|feed|hay|straw|pellets", "when|whens|when's * buy|order|get|need|want * feed|pellets|hay|nuts", "^are we out of", "^is there any|enough", "how long$", "^what|whats|what's * left of", "any feed|pellets|hay|straw left"},
			Kinds:    []phrase.Kind{phrase.KindQuantity, phrase.KindNumber},
			Examples: []desk.Example{{Setup: stocked, Line: "feed"}, {Setup: stocked, Line: "when does the feed run out"}},
			Plain: func(req *desk.Request) bool {
				return len(strangers(req, askWords...)) == 0 && !hasWord(req, "egg", "eggs", "milk") && (hasWord(req, "feed", "pellets", "pellet", "crumbs", "nuts", "mash", "hay", "straw", "bales", "bale", "sacks", "sack") || len(termsOf(req, "feeds")) > 0 || len(req.Reading.Terms("livestock")) > 0 && len(req.Reading.Of(phrase.KindQuantity)) > 0)
			}, Do: feedState,
		},
		{
			Name: "feed", Command: "feed", Keep: true, Help: "who eats a feed, and how many days before it runs out to ring", Lists: lists, Kinds: []phrase.Kind{phrase.KindDuration},
			Forms: []string{"^feed * for the", "^feed * is for", "^feed lead|bell", "is|are for the", "^ring * before the feed"}, Examples: []desk.Example{{Setup: append(slices.Clone(stocked), "we have a sow"), Line: "feed layers pellets for the hens"}, {Setup: stocked, Line: "feed lead 6 days"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && len(strangers(req, "feed", "for", "is", "are", "lead", "bell", "days", "before", "only", "too")) == 0 && (len(termsOf(req, "feeds")) > 0 && len(termsOf(req, "livestock")) > 0 || hasWord(req, "lead"))
			}, Do: feedFor,
		},
		{
			Name: "closed", Command: "feed", Keep: true, Help: "days on which nothing can be bought: the bell comes before them", Kinds: []phrase.Kind{phrase.KindDate, phrase.KindRule, phrase.KindDays, phrase.KindBad},
			Forms: []string{"shop|shops|merchant|store|merchant's is|are|closed|shut", "feed shop|merchant|store", "^closed"}, Fill: []string{"feed", "shop", "shops", "merchant", "store", "is", "are", "closed", "shut", "on", "every", "the", "bank", "holiday", "open", "again", "and", "for", "weekends", "weekend", "good", "easter"},
			Examples: []desk.Example{{Line: "feed shop closed on sunday"}, {Line: "feed shop closed 26 march"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && hasWord(req, "feed", "merchant") && len(strangers(req, "feed", "shop", "shops", "merchant", "store", "is", "are", "closed", "shut", "on", "every", "bank", "holiday", "open", "again", "for", "weekends", "weekend", "good", "easter", "at", "to", "from")) == 0
			}, Do: shopClosed,
		},
	}
}

// plainFeed takes a plain line only when the whole of it tells of feed.
func plainFeed(req *desk.Request) bool {
	if asksOrDoubts(req) || len(strangers(req, feedWords...)) > 0 {
		return false
	}
	if hasWord(req, "for") && len(req.Reading.Terms("livestock")) > 0 && !hasWord(req, "bought", "got", "have", "opened", "used", "fetched", "delivered", "came") {
		return false // "hay for a 1200 lb cow" asks
	}
	figures := len(req.Reading.Of(phrase.KindQuantity)) + len(req.Reading.Of(phrase.KindNumber))
	named := slices.ContainsFunc(termsOf(req, "feeds"), func(t phrase.Term) bool {
		return farmFeed(t.Name) || hasWord(req, "feed", "sack", "sacks", "bales", "bale", "bag", "bags")
	})
	packed := hasWord(req, "sack", "sacks", "bale", "bales")
	fed := hasWord(req, "fed") && len(req.Reading.Terms("livestock")) > 0 && len(req.Reading.Of(phrase.KindQuantity)) > 0
	if !named && !packed && !fed && !hasWord(req, "pellets", "feed") {
		return false
	}
	return figures > 0 || packed && hasWord(req, "a", "opened", "used", "spilled", "spilt")
}

// farmFeed reports a feed that nobody eats at table: "2 kg oats" is the kitchen's.
func farmFeed(name string) bool {
	f, ok := feed.FeedNamed(name)
	return !ok || len(f.For) > 0 || f.Part != feed.Grain || strings.Contains(name, "meal")
}

// tellFeed writes down what came, was opened, is left or was used.
func tellFeed(req *desk.Request) (desk.Reply, error) {
	if len(req.Reading.Of(phrase.KindBad)) > 0 {
		return desk.Refuse(req.Reading.Of(phrase.KindBad)[0].Value.(string) + " Nothing was written down."), nil
	}
	f, reply, err := fodderSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if f.Name == "" && hasWord(req, "opened", "sack", "bag") {
		mine, err := req.Tx.Fodders(req.House.ID)
		if err != nil {
			return desk.Reply{}, err
		}
		mine = slices.DeleteFunc(mine, func(f storage.Fodder) bool { return f.Pack == "bale" })
		if f, reply, err = oneOf(mine); err != nil || reply.Head != "" {
			return reply, err
		}
	}
	if f.Name == "" && hasWord(req, "bale") && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	if f.Name == "" && hasWord(req, "fed") {
		if f, reply, err = eatenBy(req); err != nil || reply.Head != "" {
			return reply, err
		}
	}
	if f.Name == "" {
		return desk.AskBack("Which feed? For example: bought 3 sacks of " + sackSize(req) + " layers pellets"), nil
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	s, err := b.stockOf(req, f)
	if err != nil {
		return desk.Reply{}, err
	}
	l, ok := loadSaid(req, f)
	gone := hasWord(req, "gone", "out", "empty", "finished") && !ok
	if !ok && !gone && !(hasWord(req, "opened", "started") && (f.Grams > 0 || len(s.flows) > 0)) {
		return amountAsked(req, f, l), nil
	}
	if slices.ContainsFunc(req.Reading.Of(phrase.KindNumber), func(s phrase.Span) bool { n, is := whole(s); return is && n < 0 }) || strings.Contains(req.Text, " -") && len(req.Reading.Of(phrase.KindQuantity)) > 0 {
		return desk.AskBack("How much came? For example: bought 3 sacks of " + sackSize(req) + " " + f.Name), nil
	}
	return s.tell(req, b, reminders.Day(when), l, gone)
}

// eatenBy is the household's one feed of the animals that a line names, bales left out.
func eatenBy(req *desk.Request) (storage.Fodder, desk.Reply, error) {
	mine, err := req.Tx.Fodders(req.House.ID)
	families := familiesSaid(req)
	mine = slices.DeleteFunc(mine, func(f storage.Fodder) bool {
		return f.Pack == "bale" || !slices.ContainsFunc(eatersOf(f), func(k string) bool { b, _ := beastNamed(k); return slices.Contains(families, b.family) })
	})
	if err != nil {
		return storage.Fodder{}, desk.Reply{}, err
	}
	return oneOf(mine)
}

// feedLow puts a feed that is said to be low on the list, and asks how much is left.
func feedLow(req *desk.Request) (desk.Reply, error) {
	f, reply, err := fodderSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if f.ID == 0 {
		if req.Direct {
			return desk.AskBack("No such feed is written down. For example: bought 3 sacks of " + sackSize(req) + " layers pellets"), nil
		}
		return desk.Reply{}, desk.ErrSilent
	}
	if err := req.Record(storage.Entry{Kind: "feed", Text: f.Name + " nearly out"}); err != nil {
		return desk.Reply{}, err
	}
	if _, err := req.Tx.PutOnList(req.House.ID, storage.ToGet{Item: f.Name, Wanted: f.Name, Shop: "feed store", Why: "nearly out"}, req.Now); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(f.Name)+": nearly out, on the list.", "How much is left? Then I say until when it lasts.")
	for _, left := range []string{"half a " + f.Pack, "1 " + f.Pack} {
		if f.Grams > 0 {
			out.Buttons = append(out.Buttons, desk.Labelled(desk.Upper(left), fmt.Sprintf("%s of %s left", left, f.Name)))
		}
	}
	out.Buttons = append(out.Buttons, desk.Labelled("None", f.Name+" all gone"))
	return out, nil
}

func amountAsked(req *desk.Request, f storage.Fodder, l load) desk.Reply {
	if l.packs == 0 {
		return desk.AskBack(fmt.Sprintf("How much %s, with its unit? For example: bought 3 sacks of %s %s", f.Name, sackSize(req), f.Name))
	}
	pack, sizes := "sack", []string{"20 kg", "25 kg"}
	if l.pack == "bale" {
		pack = "bale"
	}
	if req.House.US {
		sizes = []string{"50 lb", "40 lb"}
	}
	out := desk.AskBack(fmt.Sprintf("How much is in a %s? For example: bought %.3g %s of %s %s", pack, l.packs, plural(l.packs, pack), sizes[0], f.Name))
	for _, size := range sizes {
		out.Buttons = append(out.Buttons, desk.Labelled(size, req.Text+" "+size+" each"))
	}
	return out
}

// tell writes one thing down that happened to a feed, and sets the bell anew.
func (s stock) tell(req *desk.Request, b book, day time.Time, l load, gone bool) (desk.Reply, error) {
	if l.pack != "" && (s.ID == 0 || l.pack == "bale") {
		s.Pack = l.pack
	}
	if s.Pack == "" {
		s.Pack = "sack"
	}
	if l.each > 0 {
		s.Grams = l.each * 1000
	}
	flow, text, reply := s.flow(req, l, gone)
	if reply.Head != "" {
		return reply, nil
	}
	if err := req.Record(storage.Entry{Kind: "feed", Happened: at(req, whenOf(req, day)), Text: text}); err != nil {
		return desk.Reply{}, err
	}
	var err error
	if s.Fodder, err = req.Tx.PutFodder(s.Fodder); err != nil {
		return desk.Reply{}, err
	}
	flow.Fodder, flow.Day = s.ID, day
	if err := req.Tx.AddFodderFlow(req.House.ID, flow); err != nil {
		return desk.Reply{}, err
	}
	if s, err = b.stockOf(req, s.Fodder); err != nil {
		return desk.Reply{}, err
	}
	buy, err := s.resettle(req)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(text) + ".")
	if s.mass > 0 {
		out.Lines = []string{s.line(req) + "."}
	}
	if flow.How == storage.FodderBought {
		if err := offList(req, s.Name); err != nil {
			return desk.Reply{}, err
		}
	}
	if rate := s.rate(req); rate != "" && s.mass > 0 {
		out.Assumed = []string{rate}
	}
	if !buy.IsZero() && s.mass > 0 {
		out.Lines = append(out.Lines, "I ring to get more on "+sayDate(req, laterOf(buy, dayOf(req)))+".")
	}
	out.Cautions = s.cautions()
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// offList ticks a feed off the household's list when it came.
func offList(req *desk.Request, name string) error {
	all, err := req.Tx.List(req.House.ID)
	if err != nil {
		return err
	}
	for _, g := range all {
		if strings.EqualFold(g.Item, name) {
			if err := req.Tx.Got(g.ID, req.Now); err != nil {
				return err
			}
		}
	}
	return nil
}

func laterOf(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// cautions are the warnings of a feed for those who eat it.
func (s stock) cautions() []string {
	var out []string
	for _, g := range s.groups {
		for _, c := range feed.CautionsFor(s.Name, g.Kind) {
			if !slices.Contains(out, c.Text) {
				out = append(out, c.Text)
			}
		}
	}
	return out
}

// flow is what a line tells of a feed, with its words for the day book.
func (s stock) flow(req *desk.Request, l load, gone bool) (storage.FodderFlow, string, desk.Reply) {
	size := sayKg(req, l.kg)
	if l.pack == "bale" {
		size = strings.TrimSuffix(fmt.Sprintf("%.1f", l.packs), ".0") + " " + plural(l.packs, "bale")
	} else if l.packs > 1 && l.each > 0 {
		size += fmt.Sprintf(" (%.3g of %s)", l.packs, sayKg(req, l.each))
	}
	have := s.now(req)
	switch {
	case gone:
		return storage.FodderFlow{How: storage.FodderLeft}, "no " + s.Name + " left", desk.Reply{}
	case l.pack == "bale" && (hasWord(req, "used", "opened", "fed", "to", "gave") && !hasWord(req, "down")):
		if l.packs > s.closed {
			return storage.FodderFlow{}, "", desk.AskBack(fmt.Sprintf("The book has only %s of %s. How many are left?", s.saySize(req), s.Name))
		}
		return storage.FodderFlow{How: storage.FodderUsed, Grams: l.kg * 1000, Packs: l.packs}, size + " of " + s.Name + " used", desk.Reply{}
	case hasWord(req, "used", "fed", "spilled", "spilt", "spoiled", "mouldy", "moldy"):
		if l.kg > have+0.001 {
			return storage.FodderFlow{}, "", desk.AskBack(fmt.Sprintf("The book has only %s of %s. How much is left? For example: %s are down to 5 kg", s.saySize(req), s.Name, s.Name))
		}
		return storage.FodderFlow{How: storage.FodderLeft, Grams: (have - l.kg) * 1000, Packs: s.closed}, size + " of " + s.Name + " used", desk.Reply{}
	case hasWord(req, "opened", "started"):
		return s.opened(req, l)
	case hasWord(req, "have", "there") && l.pack == "bale" && !hasWord(req, "left", "bought", "more", "another", "came"):
		return storage.FodderFlow{How: storage.FodderLeft, Grams: l.kg * 1000, Packs: l.packs}, size + " of " + s.Name, desk.Reply{}
	case hasWord(req, "left", "down", "only") || hasWord(req, "have", "there") && !hasWord(req, "bought", "more", "another", "came") || hasWord(req, "is", "are") && !hasWord(req, "in", "bought"):
		return storage.FodderFlow{How: storage.FodderLeft, Grams: l.kg * 1000, Packs: packsOf(l, s.Fodder)}, size + " of " + s.Name + " left", desk.Reply{}
	case l.pack == "bale" && !hasWord(req, "bought", "came", "more", "another", "got", "delivered", "arrived"):
		return storage.FodderFlow{How: storage.FodderLeft, Grams: l.kg * 1000, Packs: l.packs}, size + " of " + s.Name, desk.Reply{}
	}
	return storage.FodderFlow{How: storage.FodderBought, Grams: l.kg * 1000, Packs: packsOf(l, s.Fodder)}, size + " of " + s.Name + " bought", desk.Reply{}
}

// packsOf is how many whole packs an amount is.
func packsOf(l load, f storage.Fodder) float64 {
	if l.packs > 0 {
		return l.packs
	}
	if f.Grams > 0 {
		return math.Floor(l.kg * 1000 / f.Grams)
	}
	return 0
}

// opened is a pack that was opened: the one before it is empty then.
func (s stock) opened(req *desk.Request, l load) (storage.FodderFlow, string, desk.Reply) {
	each := s.Grams
	if each == 0 && l.kg > 0 {
		each = l.kg * 1000
	}
	if each == 0 {
		return storage.FodderFlow{}, "", desk.AskBack(fmt.Sprintf("How much is in it? For example: opened a sack of 20 kg %s", s.Name))
	}
	grams := math.Max(s.closed, 1) * each
	return storage.FodderFlow{How: storage.FodderOpened, Grams: grams, Packs: 1}, fmt.Sprintf("a new %s of %s of %s opened", s.Pack, sayKg(req, each/1000), s.Name), desk.Reply{}
}

// feedState says what feed there is and how long it lasts.
func feedState(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if amount := req.Reading.Of(phrase.KindQuantity); len(amount) > 0 && (hasWord(req, "last", "lasts") || strings.HasPrefix(req.Form, "how long")) {
		return howLong(req, b)
	}
	mine, err := req.Tx.Fodders(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	f, reply, err := fodderSaid(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if f.ID != 0 {
		mine = []storage.Fodder{f}
	} else if f.Name != "" && reply.Head == "" {
		mine = nil
	}
	if len(mine) == 0 {
		if !req.Direct && req.Form != "^feed$" {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("No feed is written down. For example: bought 3 sacks of " + sackSize(req) + " layers pellets"), nil
	}
	var lines, rates []string
	for _, f := range mine {
		s, err := b.stockOf(req, f)
		if err != nil {
			return desk.Reply{}, err
		}
		lines = append(lines, desk.Upper(s.line(req))+".")
		if rate := s.rate(req); rate != "" {
			rates = append(rates, rate)
		}
	}
	out := desk.Answer(lines[0], lines[1:]...)
	out.Assumed = rates
	return out, nil
}

// howLong answers how long an amount lasts the animals that a line names.
func howLong(req *desk.Request, b book) (desk.Reply, error) {
	groups, reply, err := b.groupsSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if len(groups) == 0 {
		return desk.AskBack("Lasts whom? For example: how long will 15 kg last the hens"), nil
	}
	l, ok := loadSaid(req, storage.Fodder{})
	if !ok {
		return desk.AskBack("How much, with its unit? For example: how long will 15 kg last the hens"), nil
	}
	p := feed.All
	for _, t := range termsOf(req, "feeds") {
		p = part(storage.Fodder{Name: t.Name})
	}
	f, err := feed.RunsOut(feed.Stock{Day: dayOf(req), Mass: l.kg, Part: p}, groups, feed.Weather{})
	if err != nil {
		return desk.AskBack("I cannot count that: how many animals, and how heavy? For example: how long will 15 kg last 24 hens"), nil //nolint:nilerr // said to the person
	}
	s := stock{groups: groups}
	out := desk.Answer(fmt.Sprintf("%s: %s for every head, begun today up to %s.", counted(f.Whole, "day", "days"), sayKg(req, l.kg), sayDate(req, f.Last)))
	out.Assumed = []string{fmt.Sprintf("%s a day for %s by the table", sayKg(req, f.Daily), s.eaterText())}
	return out, nil
}

// feedFor sets who eats a feed, or how early the bell before its end rings.
func feedFor(req *desk.Request) (desk.Reply, error) {
	f, reply, err := fodderSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if hasWord(req, "lead", "bell") || len(req.Reading.Of(phrase.KindDuration)) > 0 {
		return feedLead(req, f)
	}
	if f.Name == "" || f.ID == 0 {
		return desk.AskBack("Which feed? It has to be bought first: bought 3 sacks of " + sackSize(req) + " layers pellets"), nil
	}
	var kinds []string
	for _, t := range termsOf(req, "livestock") {
		kinds = append(kinds, t.Name)
	}
	if len(kinds) == 0 {
		return desk.AskBack("Who eats it? For example: feed " + f.Name + " for the hens"), nil
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	f.Eaters = strings.Join(kinds, ",")
	return putFodder(req, b, f, fmt.Sprintf("%s is for %s", f.Name, desk.List(pluralKinds(kinds))))
}

func pluralKinds(kinds []string) []string {
	var out []string
	for _, k := range kinds {
		b, _ := beastNamed(k)
		out = append(out, "the "+b.plural)
	}
	return out
}

func putFodder(req *desk.Request, b book, f storage.Fodder, text string) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "feed", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	f, err := req.Tx.PutFodder(f)
	if err != nil {
		return desk.Reply{}, err
	}
	s, err := b.stockOf(req, f)
	if err != nil {
		return desk.Reply{}, err
	}
	buy, err := s.resettle(req)
	out := desk.Answer(desk.Upper(text)+".", s.line(req)+".")
	if !buy.IsZero() {
		out.Lines = append(out.Lines, "I ring to get more on "+sayDate(req, laterOf(buy, dayOf(req)))+".")
	}
	out.Cautions = s.cautions()
	return out, err
}

// feedLead sets how many days before a feed runs out its bell rings.
func feedLead(req *desk.Request, f storage.Fodder) (desk.Reply, error) {
	n := -1
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		n = int(s.Value.(time.Duration).Hours() / 24)
	}
	if n < 0 || n > 60 {
		return desk.AskBack("How many days before it runs out? For example: feed lead 6 days"), nil
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	all := []storage.Fodder{f}
	if f.ID == 0 {
		if all, err = req.Tx.Fodders(req.House.ID); err != nil {
			return desk.Reply{}, err
		}
	}
	if len(all) == 0 {
		return desk.AskBack("No feed is written down. For example: bought 3 sacks of " + sackSize(req) + " layers pellets"), nil
	}
	if err := req.Record(storage.Entry{Kind: "feed", Text: fmt.Sprintf("the bell rings %s before a feed runs out", counted(n, "day", "days"))}); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("I ring %s before it runs out.", counted(n, "day", "days")))
	for _, f := range all {
		f.Lead = n
		if f, err = req.Tx.PutFodder(f); err != nil {
			return desk.Reply{}, err
		}
		s, err := b.stockOf(req, f)
		if err != nil {
			return desk.Reply{}, err
		}
		if _, err := s.resettle(req); err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, desk.Upper(s.line(req))+".")
	}
	return out, nil
}

// shopClosed writes down days on which nothing can be bought.
func shopClosed(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was written down."), nil
	}
	days, said := shutDays(req)
	if len(days) == 0 {
		return desk.AskBack("On which days? For example: feed shop closed on sunday; feed shop closed 26 march"), nil
	}
	open := hasWord(req, "open")
	word := "closed"
	if open {
		word = "open"
	}
	if err := req.Record(storage.Entry{Kind: "closed", Text: fmt.Sprintf("the feed shop is %s %s", word, said)}); err != nil {
		return desk.Reply{}, err
	}
	for _, c := range days {
		err := req.Tx.AddClosed(req.House.ID, c)
		if open {
			err = req.Tx.DropClosed(req.House.ID, c)
		}
		if err != nil {
			return desk.Reply{}, err
		}
	}
	return resettleFeed(req, desk.Answer(fmt.Sprintf("The feed shop is %s %s.", word, said)))
}

// resettleFeed moves every bell before a feed runs out, and says which moved.
func resettleFeed(req *desk.Request, out desk.Reply) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	all, err := req.Tx.Fodders(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, f := range all {
		s, err := b.stockOf(req, f)
		if err != nil {
			return desk.Reply{}, err
		}
		buy, err := s.resettle(req)
		if err != nil {
			return desk.Reply{}, err
		}
		if !buy.IsZero() {
			out.Lines = append(out.Lines, fmt.Sprintf("%s: I ring to get more on %s.", desk.Upper(f.Name), sayDate(req, laterOf(buy, dayOf(req)))))
		}
	}
	return out, nil
}

// shutDays are the days that a line names: dates, a run of them, or weekdays.
func shutDays(req *desk.Request) (out []storage.Closed, said string) {
	var names []string
	for _, s := range req.Reading.Of(phrase.KindDays) {
		d := s.Value.(phrase.DateSpan)
		for day := d.From; !day.IsZero() && !day.After(d.To) && len(out) < 60; day = day.AddDate(0, 0, 1) {
			out = append(out, storage.Closed{Day: day})
		}
		names = append(names, sayDate(req, d.From)+" to "+sayDate(req, d.To))
	}
	if hasWord(req, "weekends") {
		out = append(out, storage.Closed{Weekday: time.Saturday}, storage.Closed{Weekday: time.Sunday})
		names = append(names, "at weekends")
	}
	for _, s := range req.Reading.Of(phrase.KindRule) {
		for _, d := range s.Value.(phrase.Rule).Days {
			out = append(out, storage.Closed{Weekday: d})
			names = append(names, "on "+d.String()+"s")
		}
	}
	for _, s := range req.Reading.Of(phrase.KindDate) {
		if d, is := weekdayAlone(s); is {
			out = append(out, storage.Closed{Weekday: d})
			names = append(names, "on "+d.String()+"s")
			continue
		}
		day := s.Value.(phrase.Date).Next
		out = append(out, storage.Closed{Day: day})
		names = append(names, sayDate(req, day))
	}
	return out, desk.List(names)
}

// weekdayAlone reports a date that is only the name of a weekday: every one of them is
// meant.
func weekdayAlone(s phrase.Span) (time.Weekday, bool) {
	text := strings.TrimSuffix(strings.ToLower(strings.TrimPrefix(strings.ToLower(s.Text), "on ")), "s")
	for d := time.Sunday; d <= time.Saturday; d++ {
		if text == strings.ToLower(d.String()) {
			return d, true
		}
	}
	return 0, false
}
