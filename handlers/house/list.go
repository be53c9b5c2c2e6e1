package house

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/calc/food"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// listAsks are the one list of all that must be got: every desk puts things there
// (storage.Tx.PutOnList), anybody ticks them off.
func listAsks() []desk.Ask {
	setup := []string{"add 2 l milk to the list"}
	shops := []string{"list milk", "list nails from the hardware shop", "list pellets from the feed store"}
	return []desk.Ask{
		{
			Name: "list", Command: "list", Text: true, Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}, Help: "put something on the list of what to get, with its shop, or take it off",
			Forms:    []string{"^add|put * on|to|onto the|our|my list", "^add|put * to|on list", "^list", "^add|put * on|to the|our shopping list", "^take|strike|cross * off the|our list", "on|to the shopping list please", "on the shopping list"},
			Examples: []desk.Example{{Line: "add 2 l milk to the list"}, {Line: "list nails from the hardware shop"}, {Line: "/list 3 tins tomatoes"}, {Setup: setup, Line: "take the milk off the list"}}, Plain: plainList, Do: list,
		},
		{
			Name: "list", Command: "list", Text: true, Question: true, Help: "what is to be got, at one shop or at all",
			Forms: []string{
				"^list$", "^the list$", "what's|whats|what on the|our list", "what is on the|our list", "what's|whats|what|is on the|our shopping list", "^list please$", "^what do we need$",
				"what's|whats|what on the|our * list", "what is on the|our * list", "what do we|i need from|at", "^list for|from|at", "^the list for", "anything on the list for",
			},
			Examples: []desk.Example{{Line: "list"}, {Setup: setup, Line: "what's on the list"}, {Setup: shops, Line: "what's on the list for the feed store"}}, Plain: plainShown, Do: showList,
		},
		{
			Name: "list", Command: "list", Text: true, Help: "tick something off: it was got", Forms: []string{"^got", "^bought", "^i|we got", "^have got"},
			Examples: []desk.Example{{Setup: setup, Line: "got the milk"}, {Setup: shops, Line: "got everything at the feed store"}}, Plain: plainGot, Do: got,
		},
		{
			Name: "list", Command: "list", Text: true, Question: true, Help: "who put something on the list", Forms: []string{"^who put|wrote|added * on|to the list", "^who wants|needs"},
			Examples: []desk.Example{{Setup: setup, Line: "who put milk on the list"}}, Plain: func(req *desk.Request) bool { found, err := wantedBy(req); return err == nil && len(found) > 0 }, Do: whoWants,
		},
	}
}

// shopNouns are words that a shop's name ends in.
var shopNouns = strings.Fields(`shop shops store stores market supermarket merchant merchants butcher butchers butcher's baker bakers baker's chemist chemist's pharmacy mill vet vet's vets ironmonger ironmongers ironmonger's co-op coop garage office nursery centre center
	grocer grocers grocer's greengrocer fishmonger depot yard station farm dairy mart town online`)

// anyShop are names of no shop in particular.
var anyShop = []string{"shop", "shops", "store", "stores", "town", "supermarket"}

// takeShop cuts the shop off the end of what is to be got: nails from the hardware shop.
func takeShop(req *desk.Request, w words) (words, string) {
	for i := len(w) - 1; i >= 0; i-- {
		if !slices.Contains([]string{"from", "at", "for", "in"}, w.low(i)) || i+1 >= len(w) {
			continue
		}
		shop := shopNamed(req, w[i+1:])
		if slices.Contains(anyShop, shop) {
			return w[:i], ""
		}
		if shop != "" {
			return w[:i], shop
		}
		break
	}
	return w, ""
}

// shopNamed reads the name of a shop: by its last word, or one that is on the list. It
// is empty for anything else.
func shopNamed(req *desk.Request, w words) string {
	for len(w) > 0 && (w.low(0) == "the" || w.low(0) == "our") {
		w = w[1:]
	}
	for len(w) > 0 && (w[len(w)-1].Kind == phrase.Mark || slices.Contains(tails, w.low(len(w)-1))) {
		w = w[:len(w)-1]
	}
	if len(w) == 0 || len(w) > 4 {
		return ""
	}
	name := strings.ToLower(w.text())
	all, err := req.Tx.List(req.House.ID)
	if err != nil {
		return ""
	}
	for _, g := range all {
		if g.Shop != "" && (g.Shop == name || namesThing(g.Shop, name)) {
			return g.Shop
		}
	}
	if slices.Contains(shopNouns, w.low(len(w)-1)) {
		return name
	}
	return ""
}

// onListSaid is what a line puts on the list or takes off it, and the shop.
func onListSaid(req *desk.Request) (what string, shop string) {
	w := words(req.Reading.Tokens)
	if w.low(0) == "/" {
		w = w[1:]
	}
	for len(w) > 0 && phrase.IsFiller(w.low(0)) {
		w = w[1:]
	}
	if len(w) > 0 && (strings.HasPrefix(req.Form, "^list") || slices.Contains([]string{"list", "add", "put", "take", "strike", "cross"}, w.low(0))) {
		w = w[1:]
	}
	for i := len(w) - 1; i > 0; i-- {
		if w.low(i) != "list" {
			continue
		}
		tail := w[i+1:]
		_, shop = takeShop(req, append(words{{Low: "x", Text: "x", Kind: phrase.Word}}, tail...))
		if shop == "" && i > 1 && w.low(i-1) != "the" && w.low(i-1) != "our" && w.low(i-1) != "my" && w.low(i-1) != "shopping" {
			shop = shopNamed(req, w[i-1:i])
		}
		j := i
		for j > 0 && slices.Contains([]string{"to", "on", "onto", "off", "the", "our", "my", "shopping", "list"}, w.low(j)) {
			j--
		}
		return strings.Trim(w[:j+1].text(), " .!,"), shop
	}
	for len(w) > 0 && (slices.Contains(tails, w.low(len(w)-1)) || w[len(w)-1].Kind == phrase.Mark) {
		w = w[:len(w)-1]
	}
	w, shop = takeShop(req, w)
	return strings.Trim(w.text(), " .!,"), shop
}

func plainList(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("naughty", "wish", "that", "things", "waiting", "guest") {
		return false
	}
	what, shop := onListSaid(req)
	first := req.Reading.Tokens[0].Low
	said := phrase.Words(what)
	if len(said) == 0 || slices.Contains(notOnList, first) || slices.Contains(notThings, said[0]) || len(said) > 12 {
		return false
	}
	return req.Form != "^list" || shop != "" || len(req.Reading.Of(phrase.KindNumber))+len(req.Reading.Of(phrase.KindQuantity)) > 0 || isThing(what)
}

// isThing tells list milk from list of demands: each part is a food, or a word or two
// with nothing in them that things do not have.
func isThing(what string) bool {
	for _, part := range desk.Things(what) {
		said := phrase.Words(part)
		if _, isFood := food.Find(part); isFood {
			continue
		}
		if len(said) == 0 || len(said) > 2 || slices.ContainsFunc(said, func(w string) bool { return phrase.IsFiller(w) || slices.Contains(shopNouns, w) }) {
			return false
		}
	}
	return true
}

// notOnList begin talk about a list; notThings are nothing that is bought.
var (
	notOnList = []string{"did", "have", "has", "i", "you", "he", "she", "they", "what", "what's", "whats", "who", "is", "are", "was", "should", "would", "do", "does", "why", "if", "can", "could"}
	notThings = []string{"him", "me", "us", "it", "your", "my", "her", "them", "that", "this", "you", "myself", "of", "everyone", "everybody", "all", "price", "prices", "below", "above"}
)

// list puts things on the list, or takes one off.
func list(req *desk.Request) (desk.Reply, error) {
	what, shop := onListSaid(req)
	if what == "" || strings.EqualFold(what, "list") {
		return showList(req)
	}
	if req.Mentions("off") && !strings.HasPrefix(req.Form, "^add") {
		return strike(req, what, "taken off the list")
	}
	added := desk.Things(what)
	if len(added) == 0 || len(added) > 30 {
		return desk.AskBack("What goes on the list? For example: add 2 l milk to the list"), nil
	}
	text := "on the list: " + strings.Join(added, ", ")
	if shop != "" {
		text = "on the list for the " + shop + ": " + strings.Join(added, ", ")
	}
	if err := req.Record(storage.Entry{Kind: "list", About: "list", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	for _, part := range added {
		if err := addOne(req, part, shop); err != nil {
			return desk.Reply{}, err
		}
	}
	return desk.Quietly(desk.Upper(text) + "."), nil
}

// addOne puts one thing on the list; the same thing in the same measure from the same
// shop is added up.
func addOne(req *desk.Request, part, shop string) error {
	g, trouble := desk.ReadGoods(part, req.Context())
	item := g.Item
	if item == "" || trouble == desk.NoThing {
		item = strings.ToLower(part)
	}
	old, err := req.Tx.List(req.House.ID)
	if err != nil {
		return err
	}
	for _, o := range old {
		was, wasTrouble := desk.ReadGoods(o.Wanted, req.Context())
		if o.Whence != "" || o.Why != "" || o.Shop != shop || !sameThing(o.Item, item) {
			continue
		}
		switch {
		case g.Bare && was.Bare:
			return nil // there already
		case g.Bare || was.Bare || trouble != desk.NoTrouble || wasTrouble != desk.NoTrouble || was.Dim != g.Dim || was.Each != g.Each || was.Size != g.Size || was.SizeDim != g.SizeDim:
			continue
		}
		if err := req.Tx.TakeOff(o.ID, req.Now); err != nil {
			return err
		}
		part = sayDealt(req, with(g, g.Amount+was.Amount))
		g.Amount += was.Amount
	}
	need := food.Need{Name: item}
	if sums := food.Sum([]food.Item{{Name: item, Amount: food.Amount{Kind: food.Vague}}}); len(sums) == 1 {
		need = sums[0]
	}
	return req.Tx.AddToGet(req.House.ID, req.Who.ID, storage.ToGet{Item: item, Wanted: part, Section: string(food.SectionOf(need)), Shop: shop}, req.Now)
}

// onTheList finds what a line names among what is to be got.
func onTheList(req *desk.Request, what string) ([]storage.ToGet, error) {
	all, err := req.Tx.List(req.House.ID)
	if err != nil {
		return nil, err
	}
	var found []storage.ToGet
	for _, part := range desk.Things(what) {
		g, _ := desk.ReadGoods(part, req.Context())
		var want []string
		for _, w := range phrase.Words(g.Item) {
			if !phrase.IsFiller(w) {
				want = append(want, w)
			}
		}
		for _, g := range all {
			if len(want) > 0 && namesThing(g.Item+" "+g.Wanted, strings.Join(want, " ")) && !slices.ContainsFunc(found, func(f storage.ToGet) bool { return f.ID == g.ID }) {
				found = append(found, g)
			}
		}
	}
	return found, nil
}

// gotAll is the shop of "got everything at the feed store", and "all" for no shop.
func gotAll(req *desk.Request) (shop string, all bool) {
	w := words(phrase.Tokens(req.AfterForm()))
	if w.low(0) != "everything" && w.low(0) != "all" {
		return "", false
	}
	rest, shop := takeShop(req, w)
	return shop, shop != "" && len(rest) == 1 || len(w) >= 3 && w.low(len(w)-1) == "list"
}

func plainGot(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") {
		return false
	}
	if _, all := gotAll(req); all {
		return true
	}
	what := req.AfterForm()
	if req.Mentions("out", "in", "up", "off", "back", "he", "she") {
		return false
	}
	found, err := onTheList(req, what)
	return err == nil && len(found) >= len(desk.Things(what)) && len(found) > 0
}

// got ticks things off the list.
func got(req *desk.Request) (desk.Reply, error) {
	if shop, all := gotAll(req); all {
		open, err := req.Tx.List(req.House.ID)
		if err != nil {
			return desk.Reply{}, err
		}
		return tick(req, slices.DeleteFunc(open, func(g storage.ToGet) bool { return shop != "" && g.Shop != shop }), "everything", "got")
	}
	return strike(req, req.AfterForm(), "got")
}

func strike(req *desk.Request, what, how string) (desk.Reply, error) {
	found, err := onTheList(req, what)
	if err != nil {
		return desk.Reply{}, err
	}
	return tick(req, found, what, how)
}

func tick(req *desk.Request, found []storage.ToGet, what, how string) (desk.Reply, error) {
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

// shopAsked is the shop that a question about the list names; ok is false for words that
// name none.
func shopAsked(req *desk.Request) (shop string, ok bool) {
	w := words(req.Reading.Tokens)
	if w.low(0) == "/" {
		w = w[1:]
	}
	for len(w) > 0 && w[len(w)-1].Kind == phrase.Mark {
		w = w[:len(w)-1]
	}
	if i := w.findLast("list"); i > 0 && i == len(w)-1 && i > 1 && !slices.Contains([]string{"the", "our", "shopping", "my"}, w.low(i-1)) { // the hardware list
		shop = shopNamed(req, w[i-1:i])
		return shop, shop != ""
	}
	i := w.findLast("for", "from", "at")
	if i < 0 {
		return "", true
	}
	if shop = shopNamed(req, w[i+1:]); slices.Contains(anyShop, shop) {
		return "", true
	}
	return shop, shop != ""
}

func plainShown(req *desk.Request) bool {
	shop, ok := shopAsked(req)
	return ok && (shop != "" || onlyList(req))
}

// onlyList reports words that say nothing beside the list.
func onlyList(req *desk.Request) bool {
	return !slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		return t.Kind == phrase.Num || t.Kind == phrase.Word && !phrase.IsFiller(t.Low) && !slices.Contains([]string{"list", "whats", "what's", "what", "shopping", "show", "need", "shop", "shops", "store", "town", "supermarket", "anything", "left"}, t.Low)
	})
}

// showList shows what is to be got, by section and shop.
func showList(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.List(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	shop, ok := shopAsked(req)
	if !ok && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	if shop != "" {
		all = slices.DeleteFunc(all, func(g storage.ToGet) bool { return g.Shop != shop })
	}
	where := ""
	if shop != "" {
		where = " from the " + shop
	}
	if len(all) == 0 {
		return desk.Answer("Nothing is on the list" + where + "."), nil
	}
	out := desk.Answer(fmt.Sprintf("%s to get%s:", desk.Plural(len(all), "thing"), where), desk.ToGetLines(all)...)
	if shop != "" {
		out.Lines = nil
		for _, g := range all {
			out.Lines = append(out.Lines, g.Wanted)
		}
	}
	return out, nil
}

// wantedBy is what a question about who asks after.
func wantedBy(req *desk.Request) ([]storage.ToGet, error) {
	w := words(req.Reading.Tokens)
	i, j := w.find("put", "wrote", "added", "wants", "needs"), len(w)
	if k := w.find("on", "to"); k > i {
		j = k
	}
	if i < 0 || i+1 > j {
		return nil, nil
	}
	return onTheList(req, w[i+1:j].text())
}

func whoWants(req *desk.Request) (desk.Reply, error) {
	found, err := wantedBy(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(found) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	g := found[0]
	switch {
	case g.Person != 0 && g.Whence != "":
		return desk.Answer(fmt.Sprintf("%s: %s, for %s.", desk.Upper(g.Wanted), req.NameOf(g.Person), g.Whence)), nil
	case g.Person != 0:
		return desk.Answer(fmt.Sprintf("%s: %s.", desk.Upper(g.Wanted), req.NameOf(g.Person))), nil
	}
	return desk.Answer(fmt.Sprintf("%s: nobody, %s.", desk.Upper(g.Wanted), g.Why)), nil
}
