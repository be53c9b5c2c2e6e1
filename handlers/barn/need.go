package barn

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/feed"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// needWords belong to a question for what animals eat or drink.
var needWords = []string{
	"how", "much", "many", "feed", "food", "water", "hay", "do", "does", "the", "need", "needs", "eat", "eats", "drink", "drinks", "a", "an", "day", "per", "week", "for", "of", "should", "i", "we", "give", "gets", "get", "what", "in", "pig", "while", "she's", "shes", "is", "she", "with", "milking", "milk", "dry", "nursing", "suckling", "lactating", "pregnant", "gestating", "kid", "lamb", "calf", "heavy", "late", "light", "brown", "white", "growing", "working", "resting", "giving", "litres", "litre", "liters", "gallons",
	"summer", "winter", "hot", "cold", "at", "our", "my", "all", "each", "daily", "weekly", "to", "take", "from", "will", "go", "through", "piglets", "pigs", "grower", "layers", "pellets", "grain", "month", "when", "it", "it's", "its", "and", "one", "they", "weather", "last", "breed", "by", "weighing", "requirements", "requirement", "ration", "on", "frost", "freezing", "frosty", "snow",
}

func needAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindQuantity, phrase.KindNumber, phrase.KindShare, phrase.KindDuration, phrase.KindUntil}
	lists := []string{"livestock", "herds"}
	return []desk.Ask{
		{
			Name: "need", Command: "feed", Keep: true, Text: true, Question: true, Needs: ofAnimal, Help: "what animals eat or drink in a day", Kinds: kinds, Lists: lists,
			Forms:    []string{"how much feed|food|water|hay|grain", "how much do|does|for", "^feed for", "^water for", "^hay for", "feed need|needs|needed", "^what do|does|should * get|eat|need|drink", "how much|many * eat|drink|need", "^feed|water * need|for"},
			Examples: []desk.Example{{Line: "how much feed do 24 hens need"}, {Line: "how much water for two goats"}, {Line: "how much does a 60 kg pig eat"}},
			Plain: func(req *desk.Request) bool {
				return !hasWord(req, "egg", "eggs") && len(strangers(req, needWords...)) == 0 && !hasWord(req, strings.Split(medicines, "|")...)
			}, Do: need,
		},
		{
			Name: "mix", Command: "feed", Keep: true, Text: true, Question: true, Help: "two feeds mixed to a protein", Kinds: []phrase.Kind{phrase.KindShare, phrase.KindQuantity, phrase.KindNumber}, Lists: []string{"feeds"},
			Forms: []string{"^mix", "^feed mix", "mix * to get|make", "how * mix"}, Examples: []desk.Example{{Line: "mix barley 11% and soya 44% to 16%"}},
			Plain: func(req *desk.Request) bool {
				figures := len(req.Reading.Of(phrase.KindShare)) + len(req.Reading.Of(phrase.KindNumber))
				return (figures >= 3 || figures > 0 && len(termsOf(req, "feeds")) >= 2) && len(req.Reading.Unknown) <= 6
			}, Do: mix,
		},
	}
}

// groupsSaid are the animals of a line as the calculator takes them: those that it
// counts, else those of the flock book. Reply asks for what is missing.
func (b book) groupsSaid(req *desk.Request) ([]feed.Group, desk.Reply, error) {
	var out []feed.Group
	terms := animalTerms(req)
	last := 0
	for i, s := range terms {
		t := s.Value.(phrase.Term)
		if youngBeside(req, terms, i) {
			continue
		}
		if t.List == "herds" {
			h, _ := b.numbered(t.ID)
			g, ok, err := b.group(req, h)
			if err != nil {
				return nil, desk.Reply{}, err
			}
			if ok {
				out = append(out, b.asSaid(req, g, false))
			}
			continue
		}
		k, ok := feed.KindNamed(strings.ToLower(s.Text))
		if beast, is := beastNamed(t.Name); is {
			if named, found := feed.KindNamed(beast.name); found {
				k, ok = named, true
			}
		}
		if !ok {
			return nil, desk.AskBack(fmt.Sprintf("I have no table of what %s eats.", s.Text)), nil
		}
		g := feed.Group{Kind: k.Name, Heads: headsBefore(req, s, last)}
		last = s.Past
		if one := !strings.HasSuffix(strings.ToLower(s.Text), "s"); g.Heads == 0 && one && weightBefore(req, s) {
			g.Heads = 1 // a 1200 lb cow is one, however many there are
		}
		if g.Heads == 0 {
			own, err := b.ownGroups(req, t.Name)
			if err != nil {
				return nil, desk.Reply{}, err
			}
			for _, o := range own {
				out = append(out, b.asSaid(req, o, false))
			}
			if len(own) > 0 {
				continue
			}
			g.Heads = 1
		}
		out = append(out, b.asSaid(req, g, true))
	}
	return out, desk.Reply{}, nil
}

// weightBefore reports an animal with its weight before it: a 1200 lb cow.
func weightBefore(req *desk.Request, s phrase.Span) bool {
	return slices.ContainsFunc(req.Reading.Of(phrase.KindQuantity), func(q phrase.Span) bool {
		return q.Past <= s.First && s.First-q.Past <= 2 && q.Value.(phrase.Quantity).Unit.Dim == measure.Mass && !ofFeed(req, q)
	})
}

// animalTerms are the animals that a line names, in order.
func animalTerms(req *desk.Request) []phrase.Span {
	return slices.DeleteFunc(slices.Clone(req.Reading.Spans), func(s phrase.Span) bool {
		t, is := s.Value.(phrase.Term)
		return !is || t.List != "livestock" && t.List != "herds"
	})
}

// youngBeside reports the piglets of "a sow with ten piglets".
func youngBeside(req *desk.Request, terms []phrase.Span, i int) bool {
	if i == 0 {
		return false
	}
	for j := terms[i-1].Past; j < terms[i].First; j++ {
		if word(req, j) == "with" {
			return true
		}
	}
	return i > 0 && terms[i].Text == "pig" && word(req, terms[i].First-1) == "in" // "while she's in pig"
}

func (b book) ownGroups(req *desk.Request, kind string) ([]feed.Group, error) {
	var out []feed.Group
	for _, h := range b.of(kind) {
		g, ok, err := b.group(req, h)
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, g)
		}
	}
	return out, nil
}

// headsBefore is how many animals a line counts: 24 hens, two milking goats, a sow; 0 for
// "the hens".
func headsBefore(req *desk.Request, s phrase.Span, last int) int {
	for i := s.First - 1; i >= last && i >= s.First-5; i-- {
		if word(req, i) == "a" || word(req, i) == "an" || word(req, i) == "one" {
			return 1
		}
		for _, num := range req.Reading.Of(phrase.KindNumber) {
			if n, ok := whole(num); ok && num.Past == i+1 {
				return n
			}
		}
	}
	return 0
}

// asSaid adds what a line says of the animals: their weight, their stage, their milk and
// their young.
func (b book) asSaid(req *desk.Request, g feed.Group, counted bool) feed.Group {
	for i := range req.Reading.Tokens {
		for _, words := range []int{2, 1} {
			if i+words > len(req.Reading.Tokens) {
				continue
			}
			said := strings.TrimSpace(word(req, i) + " " + word(req, i+1))
			if words == 1 {
				said = word(req, i)
			}
			if stage, ok := feed.StageNamed(g.Kind, said); ok && said != "" && g.Stage == "" {
				g.Stage = stage
			}
		}
	}
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		q := s.Value.(phrase.Quantity)
		switch {
		case q.Unit.Dim == measure.Mass && q.Top == nil && !ofFeed(req, s):
			g.Weight = q.Float() / 1000
		case q.Unit.Dim == measure.Volume:
			g.Milk = q.Float() / 1000
			g.Stage = "milking"
		}
	}
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		n, ok := whole(s)
		switch {
		case !ok:
		case word(req, s.First-1) == "week":
			g.Lactation = float64(n)
			g.Weeks = float64(n)
		case word(req, s.First-1) == "with":
			g.Young = n
			if stage, ok := feed.StageNamed(g.Kind, "nursing"); ok {
				g.Stage = stage
			}
		}
	}
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		if d := s.Value.(time.Duration); word(req, s.Past) == "old" || word(req, s.Past) == "of" {
			g.Weeks = d.Hours() / 24 / 7
		}
	}
	return g
}

// ofFeed reports an amount that is of feed and no weight of an animal: "how long will 15
// kg last the hens", "from 25 kg to 135 kg".
func ofFeed(req *desk.Request, s phrase.Span) bool {
	return hasWord(req, "last", "lasts") || word(req, s.First-1) == "from" || word(req, s.First-1) == "to"
}

// need answers what animals eat or drink in a day.
func need(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if reply, is := fattening(req); is {
		return reply, nil
	}
	groups, reply, err := b.groupsSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if len(groups) == 0 {
		return desk.AskBack("For whom? For example: how much feed do 24 hens need"), nil
	}
	for _, g := range groups {
		if unweighed(req, g) {
			k, _ := feed.KindNamed(g.Kind)
			return desk.AskBack(fmt.Sprintf("How heavy is the %s? For example: how much does a %s %s eat", k.Name, sayKg(req, k.Weight), k.Name)), nil
		}
	}
	if hasWord(req, "water", "drink", "drinks") {
		return water(req, groups)
	}
	return ration(req, groups)
}

// unweighed reports an animal whose need says little without its weight: a pig that
// grows, a cow.
func unweighed(req *desk.Request, g feed.Group) bool {
	k, _ := feed.KindNamed(g.Kind)
	return g.Weight == 0 && (k.Name == "pig" || k.Name == "cow" && g.Stage == "" || k.Name == "young cattle")
}

// weatherOf is the season that a line names.
func weatherOf(req *desk.Request) feed.Weather {
	switch {
	case hasWord(req, "summer", "hot"):
		return feed.At(26.7)
	case hasWord(req, "winter", "cold", "frost", "freezing", "frosty", "snow"):
		return feed.At(4.4)
	}
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		if q := s.Value.(phrase.Quantity); q.Unit.Dim == measure.Temperature {
			return feed.At(q.Float())
		}
	}
	return feed.Weather{}
}

// ration answers what animals eat.
func ration(req *desk.Request, groups []feed.Group) (desk.Reply, error) {
	var total, hay, grain, dry feed.Band
	var assumed []string
	for _, g := range groups {
		if share := shareSaid(req); share > 0 && g.Weight > 0 {
			fed, err := feed.AsFed(g.Weight*share, feed.HayDry)
			if err != nil {
				return desk.Reply{}, err
			}
			total = add(total, feed.Band{Low: fed, Typical: fed, High: fed})
			assumed = append(assumed, fmt.Sprintf("%.3g%% of %s in dry matter, hay of %.0f%%", 100*share, sayKg(req, g.Weight), 100*feed.HayDry))
			continue
		}
		r, err := feed.Need(g, weatherOf(req))
		if errors.Is(err, feed.ErrLabel) {
			return desk.Answer("By the label of its food, which has it by weight."), nil
		}
		if err != nil {
			return desk.AskBack("I cannot count that: which animals, how many and how heavy? For example: how much does a 60 kg pig eat"), nil //nolint:nilerr // said to the person
		}
		total, hay, grain, dry = add(total, r.Fed), add(hay, r.Hay), add(grain, r.Grain), add(dry, r.Dry)
		assumed = append(assumed, needText(req, r))
	}
	return rationReply(req, groups, total, hay, grain, dry, assumed), nil
}

func needText(req *desk.Request, r feed.Ration) string {
	text := r.Group.Kind
	if r.Group.Stage != "" {
		text += ", " + r.Group.Stage
	}
	if r.Dry.Typical > 0 {
		text += fmt.Sprintf(" of %s", sayKg(req, r.Group.Weight))
	}
	if r.Cold > 0 {
		text += fmt.Sprintf(", %.0f%% more for the cold", 100*r.Cold)
	}
	return text + ": " + r.Source
}

func rationReply(req *desk.Request, groups []feed.Group, total, hay, grain, dry feed.Band, assumed []string) desk.Reply {
	who := stock{groups: groups}.eaterText()
	n, span := 1.0, "a day"
	if hasWord(req, "week", "weekly") && !slices.ContainsFunc(groups, func(g feed.Group) bool { return g.Lactation > 0 }) {
		n, span = 7, "a week"
	}
	if hasWord(req, "month", "monthly") {
		n, span = 30, "in 30 days"
	}
	if d := daysAsked(req); d > 1 {
		n, span = float64(d), fmt.Sprintf("in %d days", d)
	}
	out := desk.Answer(fmt.Sprintf("%s %s for %s.", sayKg(req, n*total.Typical), span, who))
	if total.Low > 0 && total.High > total.Low*1.02 {
		out.Lines = append(out.Lines, fmt.Sprintf("From %s to %s.", sayKg(req, n*total.Low), sayKg(req, n*total.High)))
	}
	if hay.Typical > 0 && grain.Typical > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%s hay and %s grain or pellets", sayKg(req, n*hay.Typical), sayKg(req, n*grain.Typical)))
	}
	if dry.Typical > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%s of dry matter", sayDry(req, n*dry.Typical)))
	}
	if n == 1 && len(groups) == 1 && groups[0].Heads > 1 && total.Typical > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%s a head", sayKg(req, total.Typical/float64(groups[0].Heads))))
	}
	out.Assumed = append(assumed, "as fed, without what is wasted; sick, thin or near their time: the vet")
	return out
}

// daysAsked is how many days a question is about: for 30 days, until 1 april; 0 for none.
func daysAsked(req *desk.Request) int {
	for _, s := range req.Reading.Of(phrase.KindUntil) {
		return days(dayOf(req), s.Value.(phrase.Date).Next)
	}
	for _, s := range req.Reading.Of(phrase.KindDuration) {
		if w := word(req, s.Past); w != "old" && w != "of" {
			return int(s.Value.(time.Duration).Hours() / 24)
		}
	}
	return 0
}

// sayDry writes dry matter to a tenth, as the formula gives it.
func sayDry(req *desk.Request, kg float64) string {
	if req.House.US {
		return fmt.Sprintf("%.1f lb", kg/poundKg)
	}
	return fmt.Sprintf("%.1f kg", kg)
}

func add(a, b feed.Band) feed.Band {
	return feed.Band{Low: a.Low + b.Low, Typical: a.Typical + b.Typical, High: a.High + b.High}
}

func shareSaid(req *desk.Request) float64 {
	for _, s := range req.Reading.Of(phrase.KindShare) {
		return ratOf(s.Value.(*big.Rat))
	}
	return 0
}

// hotC is the warmth for which a hot day's water is told, in degrees Celsius.
const hotC = 32

// water answers what animals drink.
func water(req *desk.Request, groups []feed.Group) (desk.Reply, error) {
	var total, hot feed.Band
	var assumed []string
	w := weatherOf(req)
	for _, g := range groups {
		if g.Kind == "cow" && g.Stage == "" { // by her weight, as the rule has it
			g.Kind = "beef cow"
		}
		d, err := feed.Water(g, w)
		if err != nil {
			return desk.AskBack("I have no table of what that one drinks. For example: how much water for two goats"), nil //nolint:nilerr // said to the person
		}
		h, err := feed.Water(g, feed.At(hotC))
		if err != nil {
			return desk.Reply{}, err
		}
		total, hot = add(total, d.Litres), add(hot, h.Litres)
		assumed = append(assumed, d.Source)
	}
	n, span := 1.0, "a day"
	if hasWord(req, "week", "weekly") {
		n, span = 7, "a week"
	}
	out := desk.Answer(fmt.Sprintf("%s of water %s for %s.", sayLitres(req, n*total.Typical), span, stock{groups: groups}.eaterText()))
	out.Lines = append(out.Lines, fmt.Sprintf("From %s to %s.", sayLitres(req, n*total.Low), sayLitres(req, n*total.High)))
	if !w.Known || w.Celsius < hotC-5 {
		out.Lines = append(out.Lines, fmt.Sprintf("In heat up to %s: look twice a day.", sayLitres(req, n*hot.High)))
	}
	out.Assumed = slices.Compact(assumed)
	if !w.Known {
		out.Assumed = append(out.Assumed, "mild weather; say summer or winter for another")
	}
	return out, nil
}

// sayLitres writes an amount of water in the household's units.
func sayLitres(req *desk.Request, litres float64) string {
	unit, v := "L", litres
	if req.House.US {
		unit, v = "gal", litres/gallon
	}
	if v >= 20 {
		return fmt.Sprintf("%.0f %s", v, unit)
	}
	return fmt.Sprintf("%s %s", strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0"), unit)
}

// gallon is a US gallon in litres.
const gallon = 3.785411784

// fattening answers how much feed takes a growing animal from one weight to another.
func fattening(req *desk.Request) (desk.Reply, bool) {
	var from, to float64
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		q := s.Value.(phrase.Quantity)
		if q.Unit.Dim != measure.Mass {
			continue
		}
		kg := q.Float() / 1000
		switch word(req, s.First-1) {
		case "to":
			to = kg
		default:
			if from == 0 {
				from = kg
			} else {
				to = kg
			}
		}
		if q.Top != nil {
			to = measure.Quantity{Amount: q.Top, Unit: q.Unit}.Float() / 1000
		}
	}
	if from == 0 || to <= from {
		return desk.Reply{}, false
	}
	terms := termsOf(req, "livestock")
	if len(terms) == 0 {
		return desk.Reply{}, false
	}
	k, ok := feed.KindNamed(terms[0].Name)
	if !ok {
		return desk.Reply{}, false
	}
	g, err := feed.GrowTo(feed.Group{Kind: k.Name, Heads: 1, Weight: from}, to)
	if err != nil {
		return desk.AskBack("I can count that for pigs from 20 to 135 kg. For example: how much feed to take a pig from 25 kg to 110 kg"), true
	}
	out := desk.Answer(fmt.Sprintf("%s of feed, about %.0f days, from %s to %s.", sayKg(req, g.Fed), g.Days, sayKg(req, from), sayKg(req, to)))
	out.Assumed = []string{"NRC, Nutrient Requirements of Swine, 2012, table 16-1; without what is wasted"}
	return out, true
}

// mix answers how two feeds are mixed to a protein.
func mix(req *desk.Request) (desk.Reply, error) {
	m, reply := mixSaid(req)
	if reply.Head != "" {
		return reply, nil
	}
	got, err := feed.Square(m.share[0], m.share[1], m.target, m.premix)
	if errors.Is(err, feed.ErrMix) {
		return desk.Refuse(fmt.Sprintf("%s and %s cannot give %.3g%%: it has to lie between %.3g%% and %.3g%%.", desk.Upper(m.name[0]), m.name[1], 100*m.target, 100*min(m.share[0], m.share[1]), 100*max(m.share[0], m.share[1]))), nil
	}
	if err != nil {
		return desk.AskBack("Which two feeds with what protein, to what? For example: mix barley 11% and soya 44% to 16%"), nil
	}
	out := desk.Answer(fmt.Sprintf("%.1f%% %s, %.1f%% %s.", 100*got.A, m.name[0], 100*got.B, m.name[1]))
	if m.kg == 0 {
		out.Lines = []string{fmt.Sprintf("Parts %.3g : %.3g", got.PartsA, got.PartsB)}
		m.kg = 100
		if req.House.US {
			m.kg = 100 * poundKg
		}
	}
	out.Lines = append(out.Lines, fmt.Sprintf("For %s:", sayKg(req, m.kg)), fmt.Sprintf("%s %s", sayKg(req, m.kg*got.A), m.name[0]), fmt.Sprintf("%s %s", sayKg(req, m.kg*got.B), m.name[1]))
	if got.Premix > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%s premix", sayKg(req, m.kg*got.Premix)))
	}
	out.Assumed = []string{fmt.Sprintf("protein: %s %.3g%%, %s %.3g%%, both as fed; the sack's label is better", m.name[0], 100*m.share[0], m.name[1], 100*m.share[1])}
	for _, c := range feed.Cautions() {
		out.Cautions = append(out.Cautions, c.Text)
	}
	return out, nil
}

// mixture is two feeds that a line mixes.
type mixture struct {
	name   [2]string
	share  [2]float64
	target float64
	premix float64
	kg     float64
}

// mixSaid reads "barley 11% and soya 44% to 16%, 5% premix, 50 kg".
func mixSaid(req *desk.Request) (mixture, desk.Reply) {
	var m mixture
	ask := desk.AskBack("Which two feeds with what protein, to what? For example: mix barley 11% and soya 44% to 16%")
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		if q := s.Value.(phrase.Quantity); q.Unit.Dim == measure.Mass {
			m.kg = q.Float() / 1000
		}
	}
	feeds := req.Reading.Terms("feeds")
	if len(feeds) < 2 {
		return m, ask
	}
	m.name[0], m.name[1] = strings.ToLower(feeds[0].Text), strings.ToLower(feeds[1].Text)
	for i := range 2 {
		if f, ok := feed.FeedNamed(feeds[i].Value.(phrase.Term).Name); ok {
			m.share[i] = f.Protein
		}
	}
	for _, s := range req.Reading.Spans {
		v, ok := proteinOf(s)
		if !ok {
			continue
		}
		before := word(req, s.First-1)
		switch {
		case word(req, s.Past) == "premix" || before == "premix":
			m.premix = v
		case before == "to" || before == "for" || before == "get" || before == "make" || before == "target":
			m.target = v
		case s.First > feeds[1].First:
			if s.First-feeds[1].Past <= 2 {
				m.share[1] = v
			} else {
				m.target = v
			}
		case s.First > feeds[0].First:
			m.share[0] = v
		}
	}
	if m.target == 0 || m.share[0] == 0 || m.share[1] == 0 {
		return m, ask
	}
	return m, desk.Reply{}
}

// proteinOf is a protein as a share: 16%, 16 percent, 16.
func proteinOf(s phrase.Span) (float64, bool) {
	switch v := s.Value.(type) {
	case *big.Rat:
		switch s.Kind {
		case phrase.KindShare:
			return ratOf(v), true
		case phrase.KindNumber:
			return ratOf(v) / 100, true
		}
	}
	return 0, false
}
