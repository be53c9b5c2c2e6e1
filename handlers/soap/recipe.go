package soap

import (
	"encoding/json"
	"fmt"
	"math/big"
	"regexp"
	"slices"

	"yardbell/calc/lye"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// recipe is what a line says about a batch before anything is computed.
type recipe struct {
	fats      []lye.Portion
	lye       float64 // g, 0 when it is to be worked out
	superfat  float64
	purity    float64
	water     lye.Water
	confirmed bool
	poured    bool // a pour is being written, not a card asked for
	assumed   []string
	readAs    []string // names taken with a slip forgiven
}

// kept is a weighed-out recipe as it is stored with a card or a batch.
type kept struct {
	Fats   []keptFat `json:"fats"`
	Lye    float64   `json:"lye_g"`
	Water  float64   `json:"water_g"`
	Purity float64   `json:"purity"`
}

type keptFat struct {
	Name  string  `json:"name"`
	Grams float64 `json:"g"`
}

func (k kept) total() float64 {
	sum := k.Lye + k.Water
	for _, f := range k.Fats {
		sum += f.Grams
	}
	return sum
}

func (k kept) json() (string, error) {
	b, err := json.Marshal(k)
	return string(b), err
}

func readKept(s string) (kept, error) {
	var k kept
	err := json.Unmarshal([]byte(s), &k)
	return k, err
}

// clear is the question to put when a line is not clear.
type unclear struct{ reply desk.Reply }

func (u unclear) Error() string { return u.reply.Head }

func ask(format string, args ...any) error {
	return unclear{desk.AskBack(fmt.Sprintf(format, args...))}
}

func refuse(format string, args ...any) error {
	return unclear{desk.Refuse(fmt.Sprintf(format, args...))}
}

// readRecipe puts a recipe together or says what is not clear. It never
// guesses: an unknown name, a missing unit or two possible readings is asked.
func readRecipe(req *desk.Request) (recipe, error) {
	r := recipe{superfat: -1, purity: -1, water: lye.DefaultWater}
	list := items(req.Reading)
	for _, it := range list {
		if it.label == wordPotash {
			return r, ask("That is potassium hydroxide. I work out sodium hydroxide (bar soap) so far: leave the word out, or name sodium hydroxide.")
		}
		r.confirmed = r.confirmed || it.label == wordConfirm
	}
	if err := readAsNamed(req, &r, list); err != nil {
		return r, err
	}
	if err := hedged(req, list); err != nil {
		return r, err
	}
	pairs, ok := pairUp(list)
	if !ok {
		return r, notClear(req, list)
	}
	if err := strangeInside(req, pairs); err != nil {
		return r, err
	}
	if err := r.twice(pairs); err != nil {
		return r, err
	}
	if err := r.fill(req, pairs); err != nil {
		return r, err
	}
	r.settle()
	return r, nil
}

// readAsNamed notes fats that were taken with a slip, and asks where a name is
// too far from any single one.
func readAsNamed(req *desk.Request, r *recipe, list []item) error {
	for _, it := range list {
		t, ok := it.span.Value.(phrase.Term)
		if !ok {
			continue
		}
		if len(t.Others) > 0 && it.fat {
			return unclear{desk.AskBack(fmt.Sprintf("Which fat is %s?", desk.Quote(it.span.Text)), meaning(req, it, append([]string{t.Name}, t.Others...)...)...)}
		}
		if t.Match != phrase.Slip {
			continue
		}
		if t.Slips > 1 && it.fat {
			return unclear{desk.AskBack(fmt.Sprintf("I do not know the fat %s. Did you mean %s?", desk.Quote(it.span.Text), t.Name), meaning(req, it, t.Name)...)}
		}
		r.readAs = append(r.readAs, fmt.Sprintf("%s read as %s", desk.Quote(it.span.Text), t.Name))
	}
	return nil
}

// meaning makes a button for each name that a word may stand for: the same line
// with the name in its place.
func meaning(req *desk.Request, it item, names ...string) []storage.Button {
	var out []storage.Button
	for _, name := range names {
		out = append(out, desk.Labelled(name, req.Text[:it.span.Start]+name+req.Text[it.span.End:]))
	}
	return out
}

// notClear says why the amounts and names do not pair.
func notClear(req *desk.Request, list []item) error {
	if len(req.Reading.Unknown) > 0 {
		return unknownFat(req)
	}
	for i, it := range list {
		if it.fat && !hasAmountBeside(list, i) {
			return ask("How much %s? Give each fat its mass, for example: 900 g %s.", it.label, it.label)
		}
	}
	return ask("I cannot tell which amount belongs to which name. Write it like: lye 900 g lard 300 g coconut superfat 5%%")
}

func hasAmountBeside(list []item, i int) bool {
	return i > 0 && list[i-1].label == "" || i+1 < len(list) && list[i+1].label == ""
}

func unknownFat(req *desk.Request) error {
	u := req.Reading.Unknown
	last := u[len(u)-1]
	return ask("I do not know %s in: %s\nName each fat as in a fat table, for example lard, tallow, coconut, olive.",
		desk.Quote(desk.UnknownWords(u)), desk.Pointed(req.Text, u[0].Start, last.End))
}

// hedges are words that change what an amount means. Lye is not worked out on a
// line that takes something back or leaves it open.
var hedges = []string{"actually", "instead", "no", "not", "without", "double", "twice", "half", "least", "most", "under", "over", "than", "maybe", "or", "only"}

// hedged asks about a line that changes its mind, and about a fat whose name goes
// on in a way that makes something else of it: coconut milk, peanut butter.
func hedged(req *desk.Request, list []item) error {
	toks := req.Reading.Tokens
	for i, t := range toks {
		if slices.Contains(hedges, t.Low) && !insideSpan(req, i) {
			return ask("%s leaves it open. Say the recipe anew with one amount for each thing.", desk.Quote(t.Text))
		}
	}
	for i, it := range list {
		if !it.fat {
			continue
		}
		if i+1 < len(list) && list[i+1].label == wordFat && list[i+1].span.First == it.span.Past {
			return ask("%s is not a fat of the table that I know for certain. Name it as in the table, for example %s.", desk.Quote(it.span.Text+" "+list[i+1].span.Text), it.label)
		}
		if p := it.span.Past; p < len(toks) && slices.ContainsFunc(req.Reading.Unknown, func(t phrase.Token) bool { return t.Start == toks[p].Start }) {
			return unknownFat(req)
		}
	}
	return nil
}

func insideSpan(req *desk.Request, i int) bool {
	return slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
}

// twice asks where a line gives the same thing two amounts.
func (r *recipe) twice(pairs []pair) error {
	seen := map[string]bool{}
	for _, p := range pairs {
		if p.label == nil {
			continue
		}
		name := p.label.label
		if name == wordRatio || name == wordStrength {
			name = wordWater
		}
		if seen[name] {
			return ask("There are two amounts for %s. Which one?", name)
		}
		seen[name] = true
	}
	return nil
}

// strangeInside asks about a word that nobody knows right behind an amount or
// between an amount and its name: it may be the name of a fat.
func strangeInside(req *desk.Request, pairs []pair) error {
	toks := req.Reading.Tokens
	for _, p := range pairs {
		past := p.amount.span.Past
		for past < len(toks) && (toks[past].Low == "of" || toks[past].Low == "the" || toks[past].Low == "my") {
			past++
		}
		from, to := p.amount.span.Start, p.amount.span.End
		if past < len(toks) {
			to = toks[past].End
		}
		if p.label != nil {
			from, to = min(from, p.label.span.Start), max(to, p.label.span.End)
		}
		if slices.ContainsFunc(req.Reading.Unknown, func(t phrase.Token) bool { return t.Start >= from && t.Start < to }) {
			return unknownFat(req)
		}
	}
	return nil
}

// fill sets what each pair says.
func (r *recipe) fill(req *desk.Request, pairs []pair) error {
	var total *item
	var shares []pair
	for _, p := range pairs {
		if q, ok := p.amount.span.Value.(phrase.Quantity); ok && q.Top != nil {
			return ask("%s is a range. Weigh it and give one amount.", desk.Quote(p.amount.span.Text))
		}
		switch {
		case p.label == nil || p.label.label == wordFat && p.amount.kind == phrase.KindQuantity:
			if total != nil {
				return ask("Which fat is %s? Name each one.", desk.Quote(p.amount.span.Text))
			}
			total = p.amount
		case p.label.fat && p.amount.kind == phrase.KindShare:
			shares = append(shares, p)
		case p.label.fat:
			if err := r.addFat(req, p); err != nil {
				return err
			}
		default:
			if err := r.set(p); err != nil {
				return err
			}
		}
	}
	if total == nil && len(shares) > 0 {
		if p, ok := lyeOrTotal(pairs); ok {
			text, end := p.amount.span.Text, p.amount.span.End
			return unclear{desk.AskBack(fmt.Sprintf("Is %s the weight of the fats in all, or of the lye?", text),
				desk.Labelled("the fats in all", req.Text[:end]+" total"+req.Text[end:]))}
		}
	}
	return r.addShares(total, shares)
}

// lyeOrTotal finds the mass right behind the word that named the ask: "lye 1 kg,
// 60 % tallow 40 % coconut" may give the fats in all or the lye.
func lyeOrTotal(pairs []pair) (pair, bool) {
	for _, p := range pairs {
		if p.label != nil && p.label.label == wordLye && p.label.named && p.amount.kind == phrase.KindQuantity && p.label.span.Start < p.amount.span.Start {
			return p, true
		}
	}
	return pair{}, false
}

// improper is 11/2: it may be a slip for 1 1/2.
var improper = regexp.MustCompile(`^\d\d+/\d`)

// grams reads a mass, asking for the unit when there is none.
func grams(req *desk.Request, p pair, what string) (float64, error) {
	q, ok := p.amount.span.Value.(phrase.Quantity)
	if !ok {
		text := p.amount.span.Text
		rest := func(unit string) string { return req.Text[:p.amount.span.End] + unit + req.Text[p.amount.span.End:] }
		return 0, unclear{desk.AskBack(fmt.Sprintf("%s %s: grams or ounces? Give every amount its unit.", text, what),
			desk.Labelled("grams", rest(" g")), desk.Labelled("ounces", rest(" oz")))}
	}
	switch q.Unit.Dim {
	case measure.Mass:
	case measure.Volume:
		if what == "water" {
			return q.Float(), nil // 1 mL of water weighs 1 g within 0.3 % from 0 to 25 C
		}
		return 0, ask("%s is a volume. Lye and fats are weighed: give %s in grams or ounces.", desk.Quote(p.amount.span.Text), what)
	default:
		return 0, ask("%s is not a weight of %s.", desk.Quote(p.amount.span.Text), what)
	}
	g := q.Float()
	if improper.MatchString(p.amount.span.Text) {
		return 0, ask("%s is an odd fraction. Write it like 1 1/2 or 1.5.", desk.Quote(p.amount.span.Text))
	}
	if g <= 0 || g > lye.MaxFat {
		return 0, refuse("%s of %s cannot be: give an amount above 0 and up to %d kg.", desk.Quote(p.amount.span.Text), what, lye.MaxFat/1000)
	}
	return g, nil
}

func (r *recipe) addFat(req *desk.Request, p pair) error {
	f, ok := lye.FatNamed(p.label.label)
	if !ok {
		return fmt.Errorf("no fat %q in the table", p.label.label)
	}
	g, err := grams(req, p, f.Name)
	if err != nil {
		return err
	}
	r.fats = append(r.fats, lye.Portion{Fat: f, Grams: g})
	return nil
}

// addShares spreads a total over fats given by share.
func (r *recipe) addShares(total *item, shares []pair) error {
	if len(shares) == 0 {
		if total != nil {
			return ask("Which fat is %s? Name each one, for example: 900 g tallow and 300 g coconut.", desk.Quote(total.span.Text))
		}
		return nil
	}
	if len(r.fats) > 0 {
		return ask("Give all fats by weight, or all of them as shares of one total.")
	}
	if total == nil {
		return ask("How much fat in all? For example: 1 kg, 60%% tallow 40%% coconut.")
	}
	q := total.span.Value.(phrase.Quantity)
	if q.Unit.Dim != measure.Mass || q.Amount.Sign() <= 0 || q.Float() > lye.MaxFat {
		return refuse("%s cannot be the weight of the fats.", desk.Quote(total.span.Text))
	}
	sum := new(big.Rat)
	for _, p := range shares {
		sum.Add(sum, p.amount.number)
	}
	if s, _ := sum.Float64(); s < 0.999 || s > 1.001 {
		return ask("The shares of the fats add up to %.4g%%, not 100%%. Which is right?", 100*s)
	}
	for _, p := range shares {
		f, ok := lye.FatNamed(p.label.label)
		share, _ := p.amount.number.Float64()
		if !ok || share <= 0 {
			return refuse("A share of %s has to be above 0%%.", p.label.label)
		}
		r.fats = append(r.fats, lye.Portion{Fat: f, Grams: q.Float() * share})
	}
	return nil
}

// set reads a setting. A bare figure beside superfat, purity or strength is a
// percentage: nobody writes them otherwise.
func (r *recipe) set(p pair) error {
	v, _ := p.amount.number.Float64()
	share := v
	if p.amount.kind == phrase.KindNumber {
		share = v / 100
	}
	switch p.label.label {
	case wordSuperfat:
		r.superfat = share
		if share < 0 || share > lye.MaxSuperfat {
			return refuse("A superfat of %s cannot be: 0%% to %.0f%% make soap, 5%% is usual for bars.", percent(share, 1), 100*lye.MaxSuperfat)
		}
	case wordPurity:
		r.purity = share
		return checkPurity(share)
	case wordStrength:
		r.water = lye.Water{Kind: lye.ByStrength, Value: share}
	case wordRatio:
		r.water = lye.Water{Kind: lye.ByRatio, Value: v}
	case wordWater:
		return r.setWater(p, v)
	case wordLye:
		return r.setLye(p, v)
	case wordFat:
		return ask("Which fat is %s? Name each one.", desk.Quote(p.amount.span.Text))
	}
	return nil
}

func checkPurity(share float64) error {
	if share > 1 || share < lye.MinPurity {
		return refuse("Lye of %s purity cannot be: the tin says 97%% to 99%%, and 100%% is the safe figure when it does not say.", percent(share, 1))
	}
	return nil
}

func (r *recipe) setWater(p pair, v float64) error {
	switch p.amount.kind {
	case phrase.KindShare:
		r.water = lye.Water{Kind: lye.ByShareOfFats, Value: v}
	case phrase.KindRatio:
		r.water = lye.Water{Kind: lye.ByRatio, Value: v}
	case phrase.KindQuantity:
		g, err := grams(nil, p, "water")
		if err != nil {
			return err
		}
		r.water = lye.Water{Kind: lye.ByMass, Value: g}
	default:
		return ask("%s water: grams, a share of the fats (38%% water), or water to lye (2:1 water)?", p.amount.span.Text)
	}
	return nil
}

// setLye reads a mass of lye, or the share written beside it: above 85 % that
// can only be its purity, up to 50 % only the strength of the solution.
func (r *recipe) setLye(p pair, v float64) error {
	if p.amount.kind == phrase.KindQuantity {
		g, err := grams(nil, p, "lye")
		r.lye = g
		return err
	}
	if p.amount.kind != phrase.KindShare {
		return ask("%s lye of what unit? Say grams or ounces for every amount.", p.amount.span.Text)
	}
	switch {
	case v > 0.85:
		r.purity = v
		return checkPurity(v)
	case v <= lye.MaxStrength:
		r.water = lye.Water{Kind: lye.ByStrength, Value: v}
		return nil
	}
	return ask("Is %s the purity of the lye, or the strength of the solution? Say: purity %s, or %s solution.", p.amount.span.Text, p.amount.span.Text, p.amount.span.Text)
}

// settle takes what was not said for granted, and says so.
func (r *recipe) settle() {
	if r.superfat < 0 {
		r.superfat = 0.05
		if r.lye == 0 {
			r.assumed = append(r.assumed, "superfat 5%")
		}
	}
	if r.purity < 0 {
		r.purity = 1
		r.assumed = append(r.assumed, "lye 100% pure, the safe figure when the tin does not say")
	}
	if r.water == lye.DefaultWater {
		r.assumed = append(r.assumed, "water for a 30% lye solution")
	}
}

func percent(share float64, places int) string {
	return fmt.Sprintf("%.*f%%", places, 100*share)
}

// short writes 5% and not 5.0%.
func short(share float64) string {
	s := fmt.Sprintf("%.2f", 100*share)
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	return s + "%"
}

func statusOf(err error) (storage.Message, bool) {
	u, ok := err.(unclear) //nolint:errorlint // made here and never wrapped
	return u.reply, ok
}
