package barn

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"
	"unicode"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// anyBeast is a form that any line with an animal in it has.
func anyBeast() string {
	var words []string
	for _, b := range beasts {
		for _, name := range append([]string{b.name, b.plural}, b.words...) {
			for w := range strings.FieldsSeq(name) {
				if !slices.Contains(words, w) && len(w) > 2 && !slices.Contains([]string{"day", "old", "kit", "one", "cob"}, w) {
					words = append(words, w)
				}
			}
		}
	}
	return strings.Join(words, "|")
}

func flockAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindNumber, phrase.KindDuration})
	lists := []string{"livestock", "herds", "people"}
	have := []string{"we have 24 hens, two goats, a sow"}
	ofAnimal := []desk.Need{{Kind: phrase.KindTerm, List: "livestock"}, {Kind: phrase.KindTerm, List: "herds"}}
	return []desk.Ask{
		{
			Name: "flock", Command: "flock", Question: true, Help: "the flock book: what animals there are", Forms: []string{"^flock$", "^flock book", "^animals$", "what|which animals|stock|livestock", "how many animals"},
			Fill:     []string{"what", "which", "have", "got", "keep", "do", "how", "many", "animals", "stock", "livestock", "show", "list", "book"},
			Examples: []desk.Example{{Line: "flock"}, {Setup: have, Line: "what animals have we got"}}, Do: flockBook,
		},
		{
			Name: "flock", Command: "flock", Keep: true, Text: true, Needs: ofAnimal, Help: "animals that came, went, or are there",
			Forms: []string{anyBeast(), "sold|gave|bought|swapped|got|brought|lost|took * " + anyBeast(), "^flock", "^we|i|we've|there have|keep|own|got|are", "^we've", "^sold|bought|gave|lost", "sold|died|dead|killed|culled|slaughtered|lost|bought|took|missing|butchered", "went|gone|sent|taken|took * butcher|butcher's|slaughter|abattoir|slaughterhouse|auction|mart|sale"}, Kinds: kinds, Lists: lists, Fill: flockWords,
			Examples: []desk.Example{
				{Line: "24 hens, two goats, a sow"},
				{Line: "bought 6 pullets hatched 1 Feb"},
				{Setup: have, Line: "fox took 3 hens"},
				{Setup: have, Line: "sold a goat to Ruth"},
				{Setup: have, Line: "Berta is a sow"},
				{Setup: have, Line: "we have 23 hens"},
			},
			Plain: plainFlock, Do: tellFlock,
		},
		{
			Name: "flock", Command: "flock", Keep: true, Question: true, Needs: ofAnimal, Help: "how many there are, and how old",
			Forms: []string{"how many " + anyBeast() + " left|now|are|have|do|in", "how many " + anyBeast(), "how many", "how old", "^do we have", "have we got", "who is|was|are", "^count", "when|whens|when's did * lose|sell|buy|get|die"}, Lists: lists, Kinds: dayed,
			Fill:     []string{"how", "many", "old", "do", "we", "have", "got", "are", "is", "there", "now", "left", "who", "was", "count", "still", "alive", "in", "all", "total", "altogether", "the", "flock", "herd", "when", "did", "lose", "last"},
			Examples: []desk.Example{{Setup: have, Line: "how many hens have we got"}},
			Plain: func(req *desk.Request) bool {
				return len(strangers(req, "how", "many", "old", "do", "have", "got", "are", "is", "there", "now", "left", "count", "still", "alive", "in", "total", "altogether", "flock", "herd", "today", "we've", "who", "was", "when", "did", "lose", "sell", "buy", "get", "die", "last")) == 0 && !hasWord(req, "egg", "eggs")
			}, Do: howMany,
		},
	}
}

// flockWords belong to a line that tells of animals.
var flockWords = []string{
	"have", "got", "there", "are", "is", "keep", "own", "flock", "bought", "buy", "sold", "gave", "given", "away", "died", "dead", "killed", "culled", "slaughtered", "butchered", "lost", "took", "taken", "missing", "gone", "ran", "off", "stolen", "eaten",
	"fox", "hawk", "dog", "badger", "stoat", "weasel", "mink", "rat", "rats", "buzzard", "coyote", "raccoon", "predator", "to", "from", "by", "for", "each", "hatched", "born", "old", "new", "more", "another", "extra", "left", "now", "only", "down", "arrived", "came", "home",
	"last", "night", "this", "found", "in", "the", "put", "had", "has", "were", "was", "ate", "called", "named", "name", "laying", "lot", "both", "not", "no", "counted", "count", "at", "on", "pair", "been", "be", "picked", "brought", "with", "us", "today", "some", "one", "grown", "young", "of", "lay", "point", "it's", "its", "that's", "there's", "theres", "freezer", "market", "table", "morning", "up", "sent", "went", "abattoir", "slaughter", "butcher", "butcher's", "slaughterhouse", "pot", "meat", "eat", "sale", "auction", "barn", "mart",
}

// predators take animals.
var predators = []string{"fox", "foxes", "hawk", "badger", "stoat", "weasel", "mink", "rat", "rats", "buzzard", "coyote", "raccoon", "predator", "owl", "marten", "polecat"}

// way is how animals come or go.
type way struct {
	sign int // 1 in, -1 out, 0 counted anew
	how  string
}

// wayOf is how a line says that animals came or went.
func wayOf(req *desk.Request) (way, bool) {
	for _, p := range predators {
		if hasWord(req, p) && hasWord(req, "took", "got", "had", "killed", "ate", "taken", "lost", "by", "eaten", "has") {
			return way{-1, strings.TrimSuffix(strings.Replace(p, "foxes", "fox", 1), "s")}, true
		}
	}
	if hasWord(req, "slaughter", "abattoir", "butcher", "butcher's", "slaughterhouse") && hasWord(req, "went", "took", "taken", "sent", "gone", "been") && hasWord(req, "to") {
		return way{-1, "slaughtered"}, true // and "slaughter the sow" is a plan
	}
	for _, w := range []struct {
		words []string
		way
	}{
		{[]string{"bought"}, way{1, "bought"}},
		{[]string{"sold"}, way{-1, "sold"}},
		{[]string{"gave"}, way{-1, "given"}},
		{[]string{"died", "dead"}, way{-1, "died"}},
		{[]string{"culled"}, way{-1, "culled"}},
		{[]string{"killed", "slaughtered", "butchered"}, way{-1, "slaughtered"}},
		{[]string{"stolen"}, way{-1, "stolen"}},
		{[]string{"missing", "ran"}, way{-1, "missing"}},
		{[]string{"lost"}, way{-1, "lost"}},
		{[]string{"ate", "eaten"}, way{-1, "eaten"}},
		{[]string{"arrived", "came", "brought", "picked", "given", "hatched"}, way{1, "came"}},
	} {
		if w.how == "came" && hasWord(req, "have", "we've", "keep", "own") { // we have 24 hens hatched 1 april
			continue
		}
		if hasWord(req, w.words...) {
			return w.way, true
		}
	}
	if hasWord(req, "more", "another", "new", "extra") && hasWord(req, "got", "have") || hasWord(req, "got") && hasWord(req, "from") && !hasWord(req, "have", "we've") {
		return way{1, "came"}, true
	}
	if hasWord(req, "have", "got", "keep", "own", "left", "counted", "there", "there's", "theres", "we've", "down", "flock", "count") || hasWord(req, "are", "is") && hasWord(req, "now", "only") {
		return way{0, "counted"}, true
	}
	return way{0, "counted"}, false
}

// some is a number of animals that a line tells of.
type some struct {
	n     int
	all   bool
	kind  beast
	herd  storage.Herd // when it is named
	breed string
	names []string
	span  phrase.Span
}

// somes are the animals of a line with how many there are of each. Reply asks for a
// number that is not told.
func somes(req *desk.Request, b book) ([]some, desk.Reply) {
	var out []some
	last := 0
	for _, s := range req.Reading.Spans {
		t, is := s.Value.(phrase.Term)
		if !is || t.List != "livestock" && t.List != "herds" {
			continue
		}
		one := some{n: -1, span: s}
		if t.List == "herds" {
			one.herd, _ = b.numbered(t.ID)
			one.kind, _ = beastNamed(one.herd.Kind)
		} else {
			one.kind, _ = beastNamed(t.Name)
		}
		for _, num := range req.Reading.Of(phrase.KindNumber) {
			if n, ok := whole(num); ok && num.First >= last && num.Past <= s.First && word(req, num.First-1) != "not" {
				one.n = n
			}
		}
		one.breed = breedBefore(req, s, last)
		if one.n < 0 {
			one.n, one.all = unsaid(req, one, s, last)
		}
		if one.n < 0 && !one.all {
			if n, ok := numberAfter(req, s); ok {
				one.n = n
			}
		}
		if t.List == "livestock" && !hasWord(req, "sold", "died", "killed") {
			one.names = namesAfter(req, s, one.n)
		}
		last = s.Past
		out = append(out, one)
	}
	for _, o := range out {
		if o.n < 0 && !o.all {
			return out, desk.AskBack(fmt.Sprintf("How many %s? For example: fox took 3 hens", o.kind.plural))
		}
	}
	return out, desk.Reply{}
}

// unsaid is the number of animals where no figure stands: a goat, the sow, all the hens,
// both goats, an animal with a name.
func unsaid(req *desk.Request, one some, s phrase.Span, last int) (n int, all bool) {
	if one.herd.ID != 0 && one.herd.Head <= 1 {
		return 1, false
	}
	before := func(w ...string) bool {
		for i := max(last, s.First-4); i < s.First; i++ {
			if slices.Contains(w, word(req, i)) {
				return true
			}
		}
		return false
	}
	plural := strings.HasSuffix(strings.ToLower(s.Text), "s") && one.kind.name != one.kind.plural || strings.EqualFold(s.Text, one.kind.plural) && one.kind.name != one.kind.plural
	switch {
	case before("all"):
		return -1, true
	case before("both", "pair", "couple"):
		return 2, false
	case !plural && (before("a", "an", "another", "one", "the", "our", "my") || hasWord(req, "had") || s.First == 0):
		return 1, false
	case !plural && one.kind.name != one.kind.plural:
		return 1, false
	}
	return -1, false
}

// numberAfter is the number behind an animal: "hens 24", "hens: 24".
func numberAfter(req *desk.Request, s phrase.Span) (int, bool) {
	for _, num := range req.Reading.Of(phrase.KindNumber) {
		if num.First == s.Past || num.First == s.Past+1 && (word(req, s.Past) == ":" || word(req, s.Past) == "are") {
			return whole(num)
		}
	}
	return 0, false
}

// breedBefore is the breed that stands right before an animal with a capital: 6 Light
// Sussex hens.
func breedBefore(req *desk.Request, s phrase.Span, last int) string {
	toks := req.Reading.Tokens
	first := s.First
	for first > last && first > s.First-3 {
		t := toks[first-1]
		known := slices.Contains(breedWords, t.Low)
		if t.Kind != phrase.Word || !known && !unicode.IsUpper([]rune(t.Text)[0]) || first-1 == 0 || spanAt(req, first-1) || slices.Contains(courtesy, t.Low) || slices.Contains(flockWords, t.Low) {
			break
		}
		first--
	}
	var words []string
	for _, t := range toks[first:s.First] {
		words = append(words, t.Text)
	}
	return strings.Join(words, " ")
}

func spanAt(req *desk.Request, i int) bool {
	return slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
}

// plainFlock takes a plain line only when the whole of it tells of animals.
func plainFlock(req *desk.Request) bool {
	if asksOrDoubts(req) || hasWord(req, "egg", "eggs", "need", "we'll") {
		return false
	}
	_, told := wayOf(req)
	if _, _, is := naming(req); is {
		return true
	}
	if _, _, is := namingSeveral(req); is {
		return true
	}
	if len(animalTerms(req)) == 0 {
		return false
	}
	told = told || hasWord(req, "sale", "auction", "mart") && hasWord(req, "took", "taken", "went", "sent")
	if hasWord(req, "is") && !told {
		return false
	}
	if !told && !eachCounted(req) || told && verbBehind(req) {
		return false
	}
	return len(strangers(req, slices.Concat(flockWords, namesTold(req), breedWords)...)) == 0
}

// eachCounted reports that a line which only lists animals gives the number of each: "24
// hens, a sow", and not "sow and boar".
func eachCounted(req *desk.Request) bool {
	last, figures := 0, len(req.Reading.Of(phrase.KindNumber))
	terms := animalTerms(req)
	for _, s := range terms {
		if headsBefore(req, s, last) == 0 {
			if n, ok := numberAfter(req, s); !ok || n < 1 {
				return false
			}
		}
		last = s.Past
	}
	return len(terms) > 0 && figures > 0 && len(req.Reading.Of(phrase.KindDate)) == 0
}

// verbBehind reports that an animal stands before the verb that it would have to follow:
// "the sow lost two" tells of her young.
func verbBehind(req *desk.Request) bool {
	if hasWord(req, "was", "were", "been", "is", "are", "got", "have", "has") {
		return false
	}
	verb := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		return slices.Contains([]string{"lost", "sold", "gave", "bought", "killed", "culled", "ate", "slaughtered", "butchered"}, t.Low)
	})
	terms := animalTerms(req)
	return verb >= 0 && len(terms) > 0 && terms[0].First < verb && !hasWord(req, predators...)
}

// breedWords are breeds that are written without a capital too.
var breedWords = strings.Fields(`jersey angus hereford shorthorn guernsey ayrshire holstein friesian dexter highland simmental limousin charolais galloway saddleback tamworth berkshire kunekune duroc landrace hampshire pietrain
	saanen alpine nubian toggenburg boer pygmy dwarf nigerian texel suffolk shetland soay cheviot jacob ryeland orpington sussex leghorn marans maran wyandotte rhode island red plymouth rock australorp brahma silkie warren hybrid light khaki campbell
	aylesbury pekin runner embden toulouse bronze large black white old spot gloucester speckled welsh mule`)

// namesTold are the words of a line that name a breed or with whom it was dealt.
func namesTold(req *desk.Request) []string {
	var out []string
	toks := req.Reading.Tokens
	for i, t := range toks {
		if t.Kind != phrase.Word || !unicode.IsUpper([]rune(t.Text)[0]) || i == 0 {
			continue
		}
		if w := word(req, i-1); w == "to" || w == "from" || w == "by" || len(out) > 0 && slices.Contains(out, w) {
			out = append(out, t.Low)
		}
		for _, s := range req.Reading.Terms("livestock") {
			if i < s.First && s.First-i <= 2 {
				out = append(out, t.Low)
			}
		}
	}
	if i := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "gave" || t.Low == "sold" }); i >= 0 && i+1 < len(toks) && toks[i+1].Kind == phrase.Word && !spanAt(req, i+1) {
		out = append(out, toks[i+1].Low)
	}
	for _, s := range req.Reading.Terms("livestock") {
		for _, n := range namesAfter(req, s, headsBefore(req, s, 0)) {
			out = append(out, strings.ToLower(n))
		}
	}
	return out
}

// mostNames is how many animals are named in one line.
const mostNames = 8

// namesAfter are the names of the animals that stand behind their kind, as many as there
// are of them: two goats, Bramble and Fern; a sow called Duchess.
func namesAfter(req *desk.Request, s phrase.Span, n int) []string {
	toks := req.Reading.Tokens
	if n < 1 || n > mostNames {
		return nil
	}
	calls := word(req, s.Past) == "called" || word(req, s.Past) == "named"
	var out []string
	for i := s.Past; i < len(toks); i++ {
		t := toks[i]
		if t.Kind == phrase.Num || spanAt(req, i) || t.Kind == phrase.Break {
			break
		}
		if t.Kind != phrase.Word || slices.Contains([]string{"and", "called", "named", "the"}, t.Low) {
			continue
		}
		if slices.Contains(flockWords, t.Low) || slices.Contains(courtesy, t.Low) || len(t.Low) < 2 {
			break
		}
		out = append(out, desk.Upper(t.Text))
	}
	if len(out) != n || n == 1 && !calls {
		return nil
	}
	return out
}

// whom is with whom animals were dealt: the name behind "to" or "from".
func whom(req *desk.Request) string {
	toks := req.Reading.Tokens
	if i := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "gave" || t.Low == "sold" }); i >= 0 && i+1 < len(toks) && toks[i+1].Kind == phrase.Word && !spanAt(req, i+1) && !slices.Contains(flockWords, toks[i+1].Low) && !slices.Contains(courtesy, toks[i+1].Low) {
		return desk.Upper(toks[i+1].Text) // gave Ruth a hen
	}
	for i, t := range toks {
		if (t.Low == "to" || t.Low == "from") && i+1 < len(toks) && toks[i+1].Kind == phrase.Word && unicode.IsUpper([]rune(toks[i+1].Text)[0]) {
			var words []string
			for _, n := range toks[i+1:] {
				if n.Kind != phrase.Word || !unicode.IsUpper([]rune(n.Text)[0]) {
					break
				}
				words = append(words, n.Text)
			}
			return strings.Join(words, " ")
		}
	}
	return ""
}

// tellFlock writes down what came, went or is there.
func tellFlock(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if name, kind, is := naming(req); is {
		return named(req, b, name, kind)
	}
	if all, kind, is := namingSeveral(req); is {
		return namedSeveral(req, b, all, kind)
	}
	if left := strangers(req, slices.Concat(flockWords, namesTold(req), breedWords)...); len(left) > 0 && len(animalTerms(req)) > 0 && req.Form != "^flock" {
		return desk.Reply{}, desk.ErrSilent // goat cheese, and what else is no animal
	}
	w, told := wayOf(req)
	all, reply := somes(req, b)
	if reply.Head != "" && !told && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	if reply.Head != "" {
		return reply, nil
	}
	if len(all) == 0 {
		return desk.AskBack("Which animals? For example: we have 24 hens, two goats, a sow"), nil
	}
	when, born, reply := whenAndBorn(req)
	if reply.Head != "" {
		return reply, nil
	}
	if !told && hasWord(req, "sale", "auction", "mart") {
		name := all[0].kind.counted(all[0].n)
		if all[0].herd.Name != "" {
			name = all[0].herd.Name
		}
		return desk.AskBack(fmt.Sprintf("Was %s sold there?", name), desk.Labelled("Sold", "sold "+name)), nil
	}
	if !told && !req.Direct && len(all) == 1 {
		if reply, err := bareCount(b, all[0]); err != nil || reply.Head != "" {
			return reply, err
		}
	}
	if w.sign < 0 && !req.Direct && !b.hasAny(all) {
		return desk.Reply{}, desk.ErrSilent // of what is not in the book it is talk
	}
	var moves []change
	for _, one := range all {
		if len(one.names) > 0 && w.sign >= 0 {
			moves = append(moves, b.namedChanges(one, w, born)...)
			continue
		}
		got, reply := b.changes(one, w, born)
		if reply.Head != "" {
			return reply, nil
		}
		moves = append(moves, got...)
	}
	return move(req, b, moves, w, when)
}

// hasAny reports that some of the animals, or of their kin, are in the book.
func (b book) hasAny(all []some) bool {
	return slices.ContainsFunc(b.alive(), func(h storage.Herd) bool {
		k, _ := beastNamed(h.Kind)
		return slices.ContainsFunc(all, func(o some) bool { return o.kind.family == k.family })
	})
}

// bareCount asks about "3 hens" that nobody says anything of, where the book has another
// number: it may be talk of three hens out on the road.
func bareCount(b book, one some) (desk.Reply, error) {
	have := b.count(one.kind.name)
	switch {
	case have == one.n:
		return desk.Reply{}, desk.ErrSilent
	case have == 0:
		return desk.Reply{}, nil
	}
	return desk.AskBack(fmt.Sprintf("The book has %s. Are there %d now?", one.kind.counted(have), one.n), desk.Labelled("Yes", "we have "+one.kind.counted(one.n))), nil
}

// change is so many more or fewer of a group.
type change struct {
	herd storage.Herd // ID 0 is a new one
	by   int
	was  int
}

// changes are the changes of the book for some animals that came, went or were counted.
func (b book) changes(one some, w way, born time.Time) ([]change, desk.Reply) {
	groups := b.of(one.kind.name)
	if one.herd.ID != 0 {
		groups = []storage.Herd{one.herd}
	}
	have := 0
	for _, g := range groups {
		have += g.Head
	}
	if one.all {
		one.n = have
	}
	if one.n > mostCount {
		return nil, desk.Refuse("That is more than a yard holds. Nothing was written down.")
	}
	by := w.sign * one.n
	if w.sign == 0 {
		by = one.n - have
	}
	if by >= 0 {
		return []change{{b.home(one, groups, born, w.sign > 0), by, have}}, desk.Reply{}
	}
	if -by > have {
		return nil, b.tooFew(one, have)
	}
	var out []change
	left := -by
	for _, g := range groups {
		n := min(left, g.Head)
		if n > 0 {
			out = append(out, change{g, -n, have})
		}
		left -= n
	}
	return out, desk.Reply{}
}

// namedChanges are the changes for animals that a line names: each is a group of its own,
// taken out of those of its kind that had no name.
func (b book) namedChanges(one some, w way, born time.Time) []change {
	var out []change
	var without []storage.Herd
	for _, g := range b.of(one.kind.name) {
		if g.Name == "" {
			without = append(without, g)
		}
	}
	for _, name := range one.names {
		if slices.ContainsFunc(b.alive(), func(h storage.Herd) bool { return strings.EqualFold(h.Name, name) }) {
			continue
		}
		out = append(out, change{storage.Herd{Kind: one.kind.name, Name: name, Breed: one.breed, Born: born}, 1, 0})
	}
	for i := 0; w.sign == 0 && i < len(without); i++ {
		if n := min(without[i].Head, len(out)); n > 0 {
			out = append(out, change{without[i], -n, without[i].Head})
		}
	}
	return out
}

// tooFew asks about more animals that went than the book has.
func (b book) tooFew(one some, have int) desk.Reply {
	if have == 0 {
		for _, h := range b.alive() {
			if k, _ := beastNamed(h.Kind); k.family == one.kind.family {
				return desk.AskBack(fmt.Sprintf("No %s are in the flock book, but %s. Which were they?", one.kind.plural, k.counted(h.Head)))
			}
		}
		return desk.AskBack(fmt.Sprintf("No %s are in the flock book. Say first what there is: we have 24 hens", one.kind.plural))
	}
	return desk.AskBack(fmt.Sprintf("The book has only %s. How many are there now? For example: we have %s", one.kind.counted(have), one.kind.counted(max(have-1, 2))))
}

// home is the group that newcomers belong to: the kind's own, or one of their own where
// they are of another hatch or breed.
func (b book) home(one some, groups []storage.Herd, born time.Time, came bool) storage.Herd {
	for _, g := range groups {
		same := g.Name == "" || one.herd.ID != 0
		if same && (!came || born.Equal(g.Born) && strings.EqualFold(one.breed, g.Breed)) {
			return g
		}
	}
	if one.herd.ID == 0 {
		for _, h := range b.herds { // a group that had died out
			if h.Kind == one.kind.name && h.Name == "" && h.Head == 0 && born.Equal(h.Born) && strings.EqualFold(one.breed, h.Breed) {
				return h
			}
		}
	}
	return storage.Herd{Kind: one.kind.name, Breed: one.breed, Born: born}
}

// whenAndBorn are the day that a line tells of, and the day of hatch or birth that it
// gives.
func whenAndBorn(req *desk.Request) (when, born time.Time, reply desk.Reply) {
	reading := req.Reading
	var rest []phrase.Span
	for _, s := range reading.Spans {
		w := word(req, s.First-1)
		if w == "on" || w == "in" {
			w = word(req, s.First-2)
		}
		if s.Kind == phrase.KindDate && (w == "hatched" || w == "born") {
			born = s.Value.(phrase.Date).Last
			continue
		}
		if s.Kind == phrase.KindDuration && (word(req, s.Past) == "old" || word(req, s.Past) == "of") {
			born = dayOf(req).Add(-s.Value.(time.Duration))
			born = reminders.Day(born)
			continue
		}
		rest = append(rest, s)
	}
	one := *req
	one.Reading.Spans = rest
	when, reply = happened(&one)
	return when, born, reply
}

// move writes changes into the book.
func move(req *desk.Request, b book, moves []change, w way, when time.Time) (desk.Reply, error) {
	moves = slices.DeleteFunc(moves, func(c change) bool { return c.by == 0 })
	if len(moves) == 0 {
		return desk.Answer("So it is written down.", b.lines(req)...), nil
	}
	with := whom(req)
	if err := req.Record(storage.Entry{Kind: "flock", Happened: at(req, when), Text: movesText(moves, w, with)}); err != nil {
		return desk.Reply{}, err
	}
	day := reminders.Day(when)
	for i := range moves {
		c := &moves[i]
		if c.herd.ID == 0 {
			c.herd.Household = req.House.ID
			var err error
			if c.herd, err = req.Tx.AddHerd(c.herd); err != nil {
				return desk.Reply{}, err
			}
		}
		if err := req.Tx.AddHeadcount(req.House.ID, storage.Headcount{Herd: c.herd.ID, Day: day, Change: c.by, How: w.how, Whom: with}); err != nil {
			return desk.Reply{}, err
		}
	}
	if err := goneFor(req, moves, day); err != nil {
		return desk.Reply{}, err
	}
	dealt, err := dealtWith(req, moves, w, with, at(req, when))
	if err != nil {
		return desk.Reply{}, err
	}
	after, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	head := desk.Upper(movesText(moves, w, with))
	if !day.Equal(dayOf(req)) {
		head += ", " + onDay(req, day)
	}
	out := desk.Answer(head+"."+after.leftText(moves, w), dealt...)
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo"), desk.Labelled("Flock book", "flock")}
	held, err := meatHeld(req, moves, w, with)
	out.Cautions = append(held, newStock(w)...)
	return out, err
}

// dealtWith writes down with whom animals were dealt, and for how much, where the name is
// told: a neighbour's account has it too.
func dealtWith(req *desk.Request, moves []change, w way, with string, when time.Time) ([]string, error) {
	if with == "" || !slices.Contains([]string{"sold", "given", "bought", "came"}, w.how) {
		return nil, nil
	}
	all, err := req.Tx.Neighbours(req.House.ID)
	if err != nil {
		return nil, err
	}
	var lines []string
	i := slices.IndexFunc(all, func(n storage.Neighbour) bool { return strings.EqualFold(n.Name, with) })
	if i < 0 {
		n, err := req.Tx.AddNeighbour(req.House.ID, with, req.Now)
		if err != nil {
			return nil, err
		}
		all, i = append(all, n), len(all)
		lines = append(lines, with+" is new: written down as a neighbour.")
	}
	how := map[string]string{"given": "gave", "came": "got"}[w.how]
	if how == "" {
		how = w.how
	}
	var names []string
	for _, c := range moves {
		k, _ := beastNamed(c.herd.Kind)
		item := k.plural
		if c.herd.Name != "" {
			item = c.herd.Name
		}
		names = append(names, item)
		d := storage.Dealing{Household: req.House.ID, At: when, Way: how, Out: w.sign < 0, Neighbour: all[i].ID, Item: item, Dim: storage.Count, Amount: float64(max(c.by, -c.by))}
		if _, err := req.Tx.AddDealing(d); err != nil {
			return nil, err
		}
	}
	if price := priceSaid(req); price > 0 {
		d := storage.Dealing{Household: req.House.ID, At: when, Way: how, Out: w.sign > 0, Neighbour: all[i].ID, Item: strings.Join(names, " and "), Dim: storage.Money, Amount: price}
		if _, err := req.Tx.AddDealing(d); err != nil {
			return nil, err
		}
		lines = append(lines, fmt.Sprintf("For %.4g.", price))
	}
	return lines, nil
}

// priceSaid is what animals were dealt for: the figure behind "for" or "at".
func priceSaid(req *desk.Request) float64 {
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if w := word(req, s.First-1); w == "for" || w == "at" {
			return ratOf(s.Value.(*big.Rat))
		}
	}
	return 0
}

// leftText says how many there are after animals came or went.
func (b book) leftText(moves []change, w way) string {
	if w.sign == 0 {
		return ""
	}
	var parts, seen []string
	for _, c := range moves {
		if slices.Contains(seen, c.herd.Kind) || c.herd.Name != "" {
			continue
		}
		seen = append(seen, c.herd.Kind)
		k, _ := beastNamed(c.herd.Kind)
		if b.count(k.name) == c.by {
			continue
		}
		if b.count(k.name) == 0 {
			parts = append(parts, "no "+k.plural)
			continue
		}
		parts = append(parts, k.counted(b.count(k.name)))
	}
	if len(parts) == 0 {
		return ""
	}
	return " " + desk.Upper(desk.List(parts)) + " now."
}

// newStock is what is said when animals come from elsewhere (common practice).
func newStock(w way) []string {
	if w.how == "bought" || w.how == "came" {
		return []string{"Newcomers apart for 30 days, seen to last, own boots (common practice): what they carry shows by then."}
	}
	return nil
}

// movesText is changes in words: 3 hens taken by the fox; 24 hens and 2 goats counted.
func movesText(moves []change, w way, with string) string {
	var parts []string
	for _, c := range moves {
		k, _ := beastNamed(c.herd.Kind)
		n := max(c.by, -c.by)
		if w.sign == 0 && c.by < 0 && slices.ContainsFunc(moves, func(o change) bool { return o.herd.Name != "" && o.herd.Kind == c.herd.Kind }) {
			continue // they have names now
		}
		if w.sign == 0 {
			n = c.was + c.by
		}
		text := k.counted(n)
		if c.herd.Breed != "" {
			text = strings.Replace(text, " ", " "+c.herd.Breed+" ", 1)
		}
		if c.herd.Name != "" {
			text = c.herd.Name
			if w.sign == 0 {
				text += " the " + k.name
			}
			if n > 1 {
				text = fmt.Sprintf("%d of %s", n, c.herd.Name)
			}
		}
		if w.sign == 0 && c.was > 0 {
			text += fmt.Sprintf(" (%d before)", c.was)
		}
		parts = append(parts, text)
	}
	text := desk.List(parts)
	switch {
	case w.how == "counted":
		return text
	case slices.Contains(predators, w.how):
		return text + " taken by the " + w.how
	case w.how == "missing", w.how == "lost":
		return text + " " + w.how
	case with != "" && w.sign > 0:
		return text + " " + w.how + " from " + with
	case with != "":
		return text + " " + w.how + " to " + with
	}
	return text + " " + w.how
}

// generic are words for animals that people call each other.
var generic = []string{"pig", "hog", "cow", "goat", "hen", "chicken", "cock", "chick", "sheep", "donkey", "turkey", "goose", "rabbit", "lamb", "dog", "bitch", "cat", "stag", "bull", "duck", "horse", "pigeon", "ram", "kid goat", "buck", "queen cat", "cob"}

// naming reads "Berta is a sow", "Clover the doe", "the sow is called Berta".
func naming(req *desk.Request) (name string, kind beast, is bool) {
	terms := req.Reading.Terms("livestock")
	if len(terms) != 1 || len(req.Reading.Of(phrase.KindNumber)) > 0 {
		return "", beast{}, false
	}
	kind, _ = beastNamed(terms[0].Value.(phrase.Term).Name)
	toks := req.Reading.Tokens
	if i := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "called" || t.Low == "named" }); i >= 0 {
		if i+1 >= len(toks) || toks[i+1].Kind != phrase.Word || i+2 < len(toks) && toks[i+2].Kind == phrase.Word {
			return "", beast{}, false
		}
		return toks[i+1].Text, kind, unicode.IsUpper([]rune(toks[i+1].Text)[0])
	}
	first := 0
	if len(toks) > 1 && req.Slash { // /flock Berta is a sow
		first = slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Kind == phrase.Word && t.Low != "flock" })
	}
	if first < 0 || first+2 >= len(toks) || toks[first].Kind != phrase.Word || !unicode.IsUpper([]rune(toks[first].Text)[0]) || spanAt(req, first) || slices.Contains(courtesy, toks[first].Low) {
		return "", beast{}, false
	}
	said := toks[first+1].Low == "is" && (toks[first+2].Low == "a" || toks[first+2].Low == "an" || toks[first+2].Low == "our" || toks[first+2].Low == "the") || toks[first+1].Low == "the"
	if !said || terms[0].Past < len(toks) && toks[terms[0].Past].Kind != phrase.Mark {
		return "", beast{}, false
	}
	for i := first + 3; i < terms[0].First; i++ { // a breed
		if !unicode.IsUpper([]rune(toks[i].Text)[0]) {
			return "", beast{}, false
		}
	}
	if toks[first+1].Low == "the" && terms[0].First != first+2 {
		return "", beast{}, false
	}
	return toks[first].Text, kind, true
}

// namingSeveral reads "our goats are called Nettle and Bramble".
func namingSeveral(req *desk.Request) (names []string, kind beast, is bool) {
	terms, toks := req.Reading.Terms("livestock"), req.Reading.Tokens
	i := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "called" || t.Low == "named" })
	if len(terms) != 1 || i < 0 || terms[0].Past > i || word(req, i-1) != "are" || len(req.Reading.Of(phrase.KindNumber)) > 0 {
		return nil, beast{}, false
	}
	kind, _ = beastNamed(terms[0].Value.(phrase.Term).Name)
	for _, t := range toks[i+1:] {
		switch {
		case t.Kind == phrase.Word && unicode.IsUpper([]rune(t.Text)[0]):
			names = append(names, t.Text)
		case t.Low != "and" && t.Kind == phrase.Word:
			return nil, beast{}, false
		}
	}
	return names, kind, len(names) > 1 && len(names) <= mostNames
}

// namedSeveral gives animals their names, those without first.
func namedSeveral(req *desk.Request, b book, names []string, kind beast) (desk.Reply, error) {
	names = slices.DeleteFunc(names, func(name string) bool {
		return slices.ContainsFunc(b.alive(), func(h storage.Herd) bool { return strings.EqualFold(h.Name, name) })
	})
	if len(names) == 0 {
		return desk.AskBack("They are in the flock book already."), nil
	}
	one := some{n: len(names), kind: kind, names: names}
	return move(req, b, b.namedChanges(one, way{0, "counted"}, time.Time{}), way{0, "counted"}, req.Wall)
}

// named gives an animal its name: one of those without, or a new one.
func named(req *desk.Request, b book, name string, kind beast) (desk.Reply, error) {
	groups := slices.DeleteFunc(b.of(kind.name), func(h storage.Herd) bool { return h.Name != "" })
	ours := hasWord(req, "have", "our", "keep", "bought", "got", "own")
	said := strings.ToLower(req.Reading.Terms("livestock")[0].Text)
	if !req.Direct && !ours && slices.Contains(generic, said) && len(groups) == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	for _, h := range b.alive() {
		if strings.EqualFold(h.Name, name) {
			return desk.AskBack(fmt.Sprintf("%s is in the flock book already.", h.Name)), nil
		}
	}
	breed := ""
	if terms := req.Reading.Terms("livestock"); len(terms) > 0 {
		breed = breedBefore(req, terms[0], 1)
	}
	if err := req.Record(storage.Entry{Kind: "flock", Text: fmt.Sprintf("%s is a %s", name, strings.TrimSpace(breed+" "+kind.name))}); err != nil {
		return desk.Reply{}, err
	}
	text := fmt.Sprintf("%s, %s, is in the flock book.", name, article(strings.TrimSpace(breed+" "+kind.name)))
	if len(groups) > 0 && groups[0].Head == 1 {
		h := groups[0]
		h.Name = name
		if breed != "" {
			h.Breed = breed
		}
		return desk.Answer(text), req.Tx.SaveHerd(h)
	}
	h, err := req.Tx.AddHerd(storage.Herd{Household: req.House.ID, Kind: kind.name, Name: name, Breed: breed})
	if err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddHeadcount(req.House.ID, storage.Headcount{Herd: h.ID, Day: dayOf(req), Change: 1, How: "named"}); err != nil {
		return desk.Reply{}, err
	}
	if len(groups) == 0 {
		return desk.Answer(text), nil
	}
	err = req.Tx.AddHeadcount(req.House.ID, storage.Headcount{Herd: groups[0].ID, Day: dayOf(req), Change: -1, How: "named"})
	return desk.Answer(fmt.Sprintf("%s One of the %s.", text, kind.plural)), err
}

// article puts a or an before a noun.
func article(noun string) string {
	if strings.ContainsRune("aeiou", unicode.ToLower([]rune(noun)[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// lines is the flock book, a line a group.
func (b book) lines(req *desk.Request) []string {
	var out []string
	for _, h := range b.alive() {
		k, _ := beastNamed(h.Kind)
		text := k.counted(h.Head)
		if h.Breed != "" {
			text = strings.Replace(text, " ", " "+h.Breed+" ", 1)
		}
		if h.Name != "" {
			text = fmt.Sprintf("%s, %s", h.Name, article(strings.TrimSpace(h.Breed+" "+k.name)))
			if h.Head > 1 {
				text = fmt.Sprintf("%d %s", h.Head, h.Name)
			}
		}
		if !h.Born.IsZero() {
			text += ", " + ageText(days(h.Born, dayOf(req)))
		}
		out = append(out, text)
	}
	return out
}

// ageText writes an age: 5 weeks old, 2 years old.
func ageText(n int) string {
	switch {
	case n < 14:
		return counted(n, "day", "days") + " old"
	case n < 7*52:
		return counted(n/7, "week", "weeks") + " old"
	}
	years := float64(n) / 365.25
	return fmt.Sprintf("%.1f years old", years)
}

// flockBook lists the animals.
func flockBook(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	lines := b.lines(req)
	if len(lines) == 0 {
		return desk.Answer("The flock book is empty.", "Say what there is: we have 24 hens, two goats, a sow"), nil
	}
	return desk.Answer("In the flock book:", lines...), nil
}

// howMany answers for the animals that a line names.
func howMany(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(b.herds) == 0 && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	if hasWord(req, "when") {
		return whenGone(req, b)
	}
	var heads, lines []string
	for _, s := range req.Reading.Spans {
		t, is := s.Value.(phrase.Term)
		switch {
		case !is:
		case t.List == "herds":
			h, _ := b.numbered(t.ID)
			heads = append(heads, h.Name+" is "+article(h.Kind))
			if !h.Born.IsZero() {
				heads[len(heads)-1] += ", " + ageText(days(h.Born, dayOf(req)))
			}
		case t.List == "livestock":
			k, _ := beastNamed(t.Name)
			heads = append(heads, k.counted(b.count(k.name)))
			for _, h := range b.of(k.name) {
				one := book{herds: []storage.Herd{h}}.lines(req)
				switch {
				case h.Head == b.count(k.name) && h.Name == "":
					heads[len(heads)-1] = one[0]
				case !h.Born.IsZero() || h.Name != "" && h.Head == 1:
					lines = append(lines, one...)
				}
			}
		}
	}
	if len(heads) == 0 {
		return flockBook(req)
	}
	return desk.Answer(desk.Upper(desk.List(heads))+".", lines...), nil
}

// mostGone is how many of the animals that went are listed.
const mostGone = 6

// whenGone answers when animals came and went.
func whenGone(req *desk.Request, b book) (desk.Reply, error) {
	var lines []string
	for _, m := range slices.Backward(b.moves) {
		h, ok := b.numbered(m.Herd)
		asked := slices.ContainsFunc(animalTerms(req), func(s phrase.Span) bool {
			t := s.Value.(phrase.Term)
			return t.List == "herds" && t.ID == m.Herd || t.List == "livestock" && t.Name == h.Kind
		})
		out := hasWord(req, "lose", "die", "sell")
		if !ok || !asked || m.How == "named" || out && m.Change >= 0 || !out && m.Change <= 0 || len(lines) == mostGone {
			continue
		}
		lines = append(lines, fmt.Sprintf("%s: %s", sayDate(req, m.Day), movesText([]change{{h, m.Change, 0}}, way{sign(m.Change), m.How}, m.Whom)))
	}
	if len(lines) == 0 {
		return desk.Answer("Nothing of that is in the flock book."), nil
	}
	return desk.Answer(lines[0]+".", lines[1:]...), nil
}

func sign(n int) int {
	if n < 0 {
		return -1
	}
	return 1
}
