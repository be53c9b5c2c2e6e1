package barn

import (
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/growth"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

const treatedWords = "treated|wormed|drenched|dosed|injected|vaccinated|jabbed|medicated|dewormed|deloused|dipped"

// labelWords belong to a line that tells of a treatment.
var labelWords = []string{
	"treated", "wormed", "drenched", "dosed", "injected", "vaccinated", "jabbed", "medicated", "dewormed", "deloused", "dipped", "had", "their", "her", "his", "wormer", "medicine", "jab", "injection", "drench", "antibiotic", "antibiotics", "tablet", "tablets", "dose", "pour-on", "powder", "vaccine",
	"egg", "eggs", "milk", "meat", "withdrawal", "withhold", "withholding", "period", "time", "label", "by", "on", "as", "per", "says", "the", "for", "at", "with", "and", "no", "not", "nil", "zero", "never", "use", "in", "laying", "days", "day", "hours", "hour", "hrs", "till", "until", "again", "today", "this", "second", "first", "is", "was", "were", "been", "has", "have", "got", "gave", "given", "us", "batch", "lot", "mites", "mite", "red", "fluke", "ticks", "spray", "drops", "laying", "layers", "hens", "lice", "worms", "against", "vet", "vet's", "from", "all", "both", "weeks", "week", "put", "started", "are", "going",
}

func treatAsks() []desk.Ask {
	kinds := slices.Concat(dayed, []phrase.Kind{phrase.KindDuration, phrase.KindNumber, phrase.KindQuantity})
	lists := []string{"livestock", "herds"}
	treatedHens := []string{"we have 24 hens", "wormed the hens, eggs 7 days, meat 14 days by the label"}
	eatWords := []string{"can", "could", "may", "we", "i", "you", "they", "the", "kids", "eat", "drink", "use", "have", "are", "is", "eggs", "egg", "milk", "meat", "ok", "okay", "safe", "fine", "good", "to", "for", "eating", "drinking", "when", "again", "yet", "now", "today", "of", "from", "be", "will", "it", "our", "all", "right", "alright", "sell", "still", "held", "back", "withdrawal", "over", "how", "long", "until", "till", "slaughter", "kill", "butcher", "before", "in", "larder", "what", "what's", "whats", "who", "who's", "anything", "on", "under"}
	return []desk.Ask{
		{
			Name: "treated", Command: "treated", Keep: true, Text: true, Needs: ofAnimal, Help: "a treatment with the withdrawal from its label: eggs, milk and meat are held back until it is over", Kinds: kinds, Lists: lists,
			Forms: []string{"^" + treatedWords, treatedWords, "had their|her|his|a wormer|medicine|jab|injection|drench|antibiotic|antibiotics|tablet|vaccine", "had|got|given " + medicines, medicines, "on " + medicines, "gave|given", "powder|spray|drops on"},
			Examples: []desk.Example{
				{Setup: []string{"we have 24 hens"}, Line: "wormed the hens today, eggs 7 days, meat 14 days by the label"},
				{Setup: []string{"Clover is a doe"}, Line: "gave Clover penicillin, milk 96 hours, meat 28 days"},
				{Setup: []string{"Clover is a doe"}, Line: "treated Clover with the blue drench at 7:30, milk 96 hours, meat 28 days"},
			},
			Plain: plainTreated, Do: treated,
		},
		{
			Name: "label", Command: "treated", Keep: true, Text: true, Needs: []desk.Need{{Kind: phrase.KindDuration}}, Help: "the label's times of the last treatment, told late", Kinds: kinds, Lists: lists,
			Forms: []string{"^label", "^the label", "^withdrawal", "^milk|meat|eggs no|nil|zero|none", "milk|meat|eggs|egg withdrawal"}, Examples: []desk.Example{{Setup: []string{"we have 24 hens", "wormed the hens"}, Line: "label says eggs 7 days, meat 14 days"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && len(strangers(req, labelWords...)) == 0
			}, Do: labelTold,
		},
		{
			Name: "held", Command: "treated", Keep: true, Question: true, Help: "whether eggs, milk or meat are held back, and until when", Lists: lists, Fill: eatWords,
			Forms:    []string{"^can|may|could * eat|drink|use|sell", "^are|is * to eat|drink|use|sell", "^are|is * safe|ok|okay", "when|whens|when's * eat|drink|use|sell|kill|slaughter|butcher", "^can|may * kill|slaughter|butcher", "^eggs to eat", "^milk to drink", "^meat to eat", "^withdrawal", "how long * withdrawal|held", "^what|whats|what's|who|who's|anything * withdrawal|held", "^is|are the milk|eggs|meat safe|ok|okay|good|alright"},
			Examples: []desk.Example{{Setup: treatedHens, Line: "can we eat the eggs"}}, Plain: func(req *desk.Request) bool { return plainHeld(req, eatWords) }, Do: held,
		},
		{
			Name: "treatments", Command: "treated", Keep: true, Question: true, Help: "what was given, to whom and when", Lists: lists, Forms: []string{"^treated$", "^treatments", "what was|were|has|have * treated|given|wormed", "when|whens|when's * treated|wormed|drenched|vaccinated|dosed", "^medicine book|record", "how much|many * " + medicines, "what|which dose", "what * dose|dosage", "dose of|for", "^dosage", "^what|whats|what's is|are * on", "can|could|should|may * give * " + medicines},
			Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}, Text: true,
			Fill:     []string{"what", "was", "were", "when", "treated", "given", "wormed", "with", "and", "the", "did", "we", "last", "has", "have", "been", "for", "which", "medicine", "book", "record", "treatments"},
			Examples: []desk.Example{{Setup: treatedHens, Line: "what were the hens treated with"}},
			Plain: func(req *desk.Request) bool {
				return plainDose(req) || len(strangers(req, "what", "was", "were", "when", "treated", "given", "wormed", "with", "did", "last", "has", "have", "been", "for", "medicine", "book", "record", "treatments", "drenched", "vaccinated", "dosed", "worm", "is", "are", "on", "what's", "whats")) == 0 && (req.Form != "^what|whats|what's is|are * on" || len(req.Reading.Terms("herds")) == 1 && len(req.Reading.Tokens) <= 5)
			}, Do: treatments,
		},
	}
}

func plainDose(req *desk.Request) bool {
	ofStock := len(req.Reading.Terms("livestock"))+len(req.Reading.Terms("herds")) > 0
	medicine := hasWord(req, strings.Split(medicines, "|")...)
	return ofStock && (medicine || hasWord(req, "dose", "dosage")) && len(req.Reading.Unknown) <= 5
}

// noDose refuses a dose: those are the label's and the vet's.
func noDose() (desk.Reply, error) {
	return desk.Refuse("No doses from me: the label and the vet have them, by weight and by animal.", "A weight by tape is 5 to 10% off: tell the vet so.", "Given? Write it down with the label's times: treated Clover, milk 96 hours, meat 28 days"), nil
}

func plainTreated(req *desk.Request) bool {
	if asksOrDoubts(req) {
		return false
	}
	left := slices.DeleteFunc(strangers(req, slices.Concat(labelWords, strings.Split(medicines, "|"))...), isMedicine)
	if hasWord(req, "gave", "given") && !hasWord(req, strings.Split(treatedWords, "|")...) {
		return gaveMedicine(req) && len(left) <= mostProductWords
	}
	if req.Form == medicines { // only its name: a wish, unless the label is told with it
		return len(left) == 0 && len(req.Reading.Of(phrase.KindDuration)) > 0 && hasWord(req, "milk", "meat", "egg", "eggs")
	}
	return len(left) == 0 || hasWord(req, "with") && len(left) <= 6
}

// label is what was typed from a label.
type label struct {
	eggs, milk, meat sql.NullFloat64 // days, hours, days
	bare             string          // a number without its unit, or times of nothing
}

// products are the words for what is held back.
var products = map[string]growth.Product{"egg": growth.Eggs, "eggs": growth.Eggs, "milk": growth.Milk, "meat": growth.Meat, "slaughter": growth.Meat}

// gives is what a family gives to eat.
func gives(family string) []growth.Product {
	switch family {
	case "hen", "duck", "goose", "turkey", "guinea fowl", "quail":
		return []growth.Product{growth.Eggs, growth.Meat}
	case "goat", "cow", "sheep":
		return []growth.Product{growth.Milk, growth.Meat}
	case "dog", "cat":
		return nil
	}
	return []growth.Product{growth.Meat}
}

// labelSaid reads "eggs 7 days, meat 14 days", "7 days for eggs", "egg withdrawal nil".
// A line that names no product before its first time has each behind its time: "28 days
// meat, 96 hours milk".
func labelSaid(req *desk.Request, family string) label {
	var l label
	set := func(p growth.Product, v float64, d time.Duration) {
		switch p {
		case growth.Eggs:
			l.eggs = sql.NullFloat64{Float64: orDays(v, d, 24), Valid: true}
		case growth.Milk:
			l.milk = sql.NullFloat64{Float64: orDays(v, d, 1), Valid: true}
		case growth.Meat:
			l.meat = sql.NullFloat64{Float64: orDays(v, d, 24), Valid: true}
		}
	}
	times := req.Reading.Of(phrase.KindDuration)
	numberFirst := false
	if len(times) > 0 {
		_, named := timedIn(req, 0, times[0].First, true)
		numberFirst = !named
	}
	for i, s := range times {
		from, past := 0, len(req.Reading.Tokens)
		if i > 0 {
			from = times[i-1].Past
		}
		if i+1 < len(times) {
			past = times[i+1].First
		}
		p, ok := timedIn(req, from, s.First, true)
		behind, after := timedIn(req, s.Past, past, false)
		if after && (!ok || numberFirst) {
			p, ok = behind, true
		}
		if only := gives(family); !ok && len(only) == 1 {
			p, ok = only[0], true
		}
		if !ok {
			l.bare = s.Text
			continue
		}
		set(p, 0, s.Value.(time.Duration))
	}
	for i, t := range req.Reading.Tokens {
		switch t.Low {
		case "nil", "zero", "none":
			if p, ok := productIn(req, max(i-3, 0), i, true); ok {
				set(p, 0, 0)
			} else if len(times) == 0 {
				for _, p := range gives(family) {
					set(p, 0, 0)
				}
			}
		case "never":
			if p, ok := productIn(req, max(i-3, 0), i, true); ok {
				set(p, -1, 0)
			}
		}
	}
	if hasWord(req, "not") && (hasWord(req, "laying", "layers") || hasWord(req, "use") && hasWord(req, "hens")) {
		set(growth.Eggs, -1, 0)
	}
	if len(times) == 0 && l == (label{}) {
		for _, s := range req.Reading.Of(phrase.KindNumber) {
			if _, ok := productIn(req, max(s.First-2, 0), s.First, true); ok {
				l.bare = s.Text
			}
		}
	}
	return l
}

func orDays(v float64, d time.Duration, hours float64) float64 {
	if v < 0 {
		return v
	}
	return d.Hours() / hours
}

// timedIn is productIn without what has no time: "milk nil, meat 28 days".
func timedIn(req *desk.Request, first, past int, last bool) (p growth.Product, ok bool) {
	for i := first; i < past; i++ {
		if slices.Contains([]string{"no", "nil", "zero", "none", "never"}, word(req, i+1)) {
			continue
		}
		if v, is := productIn(req, i, i+1, true); is {
			p, ok = v, true
			if !last {
				return p, ok
			}
		}
	}
	return p, ok
}

// productIn is what a part of a line names: the last of it before a time, the first
// behind one.
func productIn(req *desk.Request, first, past int, last bool) (p growth.Product, ok bool) {
	for i := first; i < past; i++ {
		if v, is := products[word(req, i)]; is {
			p, ok = v, true
			if !last {
				return p, ok
			}
		}
	}
	return p, ok
}

// patient is who was treated.
type patient struct {
	herd storage.Herd
	kind beast
	name string
}

// patients are the animals that a line names.
func patients(req *desk.Request, b book) []patient {
	var out []patient
	for _, s := range req.Reading.Spans {
		t, is := s.Value.(phrase.Term)
		switch {
		case !is, word(req, s.First-1) == "laying": // "not for laying hens" names what the label forbids
		case t.List == "herds":
			h, _ := b.numbered(t.ID)
			k, _ := beastNamed(h.Kind)
			out = append(out, patient{h, k, h.Name})
		case t.List == "livestock":
			k, _ := beastNamed(t.Name)
			groups := b.of(k.name)
			one := !strings.HasSuffix(strings.ToLower(s.Text), "s") && k.name != k.plural
			switch {
			case one && len(groups) == 1:
				out = append(out, patient{groups[0], k, called(groups[0])})
			case one:
				out = append(out, patient{kind: k, name: "the " + k.name})
			default:
				out = append(out, patient{kind: k, name: "the " + k.plural})
			}
		}
	}
	var each []patient
	for _, p := range out {
		if !slices.ContainsFunc(each, func(o patient) bool { return o.name == p.name && o.herd.ID == p.herd.ID }) {
			each = append(each, p)
		}
	}
	return each
}

// lastDose is the instant of a dose: when only its day was told, the end of that day, so
// that nothing is released too soon.
func lastDose(req *desk.Request, wall time.Time) time.Time {
	w := req.Reading.Moment(req.Context(), phrase.Past)
	switch {
	case w.Count == 0, reminders.Day(wall).Equal(dayOf(req)) && !w.HasClock:
		return req.Now
	case !w.HasClock || w.Vague:
		return req.Instant(reminders.Day(wall).Add(24*time.Hour - time.Minute))
	}
	return req.Instant(wall)
}

// treated writes a treatment down and holds back what comes of it.
func treated(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was written down."), nil
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	who := patients(req, b)
	if len(who) == 0 {
		return desk.AskBack("Who was treated? For example: wormed the hens, eggs 7 days, meat 14 days by the label"), nil
	}
	if !req.Grown() {
		return desk.Refuse("Medicine is an adult's work: an adult writes it down, with the label in hand."), nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	l := labelSaid(req, who[0].kind.family)
	if reply := milkNo(req, l); reply.Head != "" {
		return reply, nil
	}
	if l.bare != "" {
		return desk.AskBack(fmt.Sprintf("%s of what? Say it as the label does: eggs 7 days, milk 96 hours, meat 14 days", desk.Upper(l.bare))), nil
	}
	dose := lastDose(req, when)
	var names []string
	for _, p := range who {
		names = append(names, p.name)
	}
	text := fmt.Sprintf("%s: %s", desk.List(names), whatGiven(req))
	if err := req.Record(storage.Entry{Kind: "treated", Happened: dose, Text: text + labelText(l, who[0].kind.family)}); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s, %s.", desk.Upper(text), req.Say(dose)))
	for _, p := range who {
		t := storage.Treatment{Kind: p.kind.family, Herd: p.herd.ID, Name: p.name, What: whatGiven(req), At: dose, EggDays: l.eggs, MilkHours: l.milk, MeatDays: l.meat}
		line, err := addDose(req, t)
		if err != nil {
			return desk.Reply{}, err
		}
		if line != "" {
			out.Lines = append(out.Lines, line)
		}
	}
	for _, p := range who {
		lines, err := afterTreatment(req, p.kind.family, p.herd.ID, p.name)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, lines...)
	}
	out.Cautions = []string{"By the label as typed: check it. A repeat dose starts the time anew; another use, dose or animal than the label's is the vet's, with a longer time."}
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

func labelText(l label, family string) string {
	text := ""
	for _, p := range gives(family) {
		v, unit := l.eggs, "days"
		switch p {
		case growth.Milk:
			v, unit = l.milk, "hours"
		case growth.Meat:
			v = l.meat
		}
		switch {
		case !v.Valid:
			text += fmt.Sprintf(", %s not told", p)
		case v.Float64 < 0:
			text += fmt.Sprintf(", %s never", p)
		default:
			text += fmt.Sprintf(", %s %.4g %s", p, v.Float64, unit)
		}
	}
	return text
}

// clearance is when a product of a family, or of one animal of it, may be used again.
func clearance(req *desk.Request, p growth.Product, family string, herd int64) (growth.Clearance, storage.Treatment, error) {
	all, err := req.Tx.Treatments(req.House.ID)
	if err != nil {
		return growth.Clearance{}, storage.Treatment{}, err
	}
	var courses []growth.Treatment
	var last storage.Treatment
	var longest time.Time
	weight := -1
	for _, t := range all {
		if t.Kind != family || herd != 0 && t.Herd != 0 && t.Herd != herd {
			continue
		}
		g, err := courseOfDose(t)
		if err != nil {
			return growth.Clearance{}, last, err
		}
		one, err := growth.Release(p, g)
		if err != nil {
			return growth.Clearance{}, last, err
		}
		if one.Free(req.Now) {
			continue
		}
		courses = append(courses, g)
		if w := holdWeight(one); w > weight || w == weight && (w > 0 || !one.At.Before(longest)) {
			last, weight, longest = t, w, one.At
		}
	}
	c, err := growth.Release(p, courses...)
	return c, last, err
}

// holdWeight ranks what holds a product back: a prohibition, a time not told, a time.
func holdWeight(c growth.Clearance) int {
	switch {
	case c.Never:
		return 2
	case c.Unknown:
		return 1
	}
	return 0
}

// courseOfDose is a treatment as the calculator takes it.
func courseOfDose(t storage.Treatment) (growth.Treatment, error) {
	g := growth.Treatment{Doses: []time.Time{t.At}}
	for _, l := range []struct {
		v    sql.NullFloat64
		into *growth.Label
		make func(float64) (growth.Label, error)
	}{{t.EggDays, &g.Eggs, growth.Days}, {t.MeatDays, &g.Meat, growth.Days}, {t.MilkHours, &g.Milk, growth.Hours}} {
		switch {
		case !l.v.Valid:
		case l.v.Float64 < 0:
			*l.into = growth.Prohibited
		default:
			made, err := l.make(l.v.Float64)
			if err != nil {
				return g, err
			}
			*l.into = made
		}
	}
	return g, nil
}

// clearText says in a sentence until when a product is held back; empty when it is free.
func clearText(req *desk.Request, p growth.Product, c growth.Clearance, t storage.Treatment) string {
	verb := map[growth.Product]string{growth.Eggs: "not to be eaten", growth.Milk: "not to be drunk", growth.Meat: "not for slaughter"}[p]
	why := fmt.Sprintf("%s, %s", t.What, req.SayDay(t.At))
	switch {
	case c.Never:
		return fmt.Sprintf("%s of %s: %s, the label forbids it (%s).", desk.Upper(p.String()), t.Name, verb, why)
	case c.Unknown:
		return fmt.Sprintf("%s of %s: not released, the label's time was not told (%s). Say: label says %s", desk.Upper(p.String()), t.Name, why, labelExample(p))
	case c.Free(req.Now):
		return ""
	case p == growth.Eggs:
		return fmt.Sprintf("Eggs of %s laid before %s: not to be eaten (%s).", t.Name, req.Say(c.At), why)
	}
	return fmt.Sprintf("%s of %s: %s before %s (%s).", desk.Upper(p.String()), t.Name, verb, req.Say(c.At), why)
}

func labelExample(p growth.Product) string {
	switch p {
	case growth.Eggs:
		return "eggs 7 days"
	case growth.Milk:
		return "milk 96 hours"
	}
	return "meat 28 days"
}

// afterTreatment says what is held back, holds the eggs in the larder, and sets the bell
// of the day on which it is over.
func afterTreatment(req *desk.Request, family string, herd int64, name string) ([]string, error) {
	var out []string
	for _, p := range gives(family) {
		c, t, err := clearance(req, p, family, herd)
		if err != nil {
			return nil, err
		}
		text := clearText(req, p, c, t)
		if text == "" {
			text = fmt.Sprintf("%s of %s: no time to wait, by the label as typed.", desk.Upper(p.String()), name)
		}
		out = append(out, text)
		switch p {
		case growth.Eggs:
			err = holdEggs(req, family)
		case growth.Milk:
			err = holdMilk(req, family)
		}
		if err != nil {
			return nil, err
		}
		if err := clearBell(req, p, family, herd, name, c); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// clearBell sets the bell of the day on which a product is released, in place of an
// earlier one.
func clearBell(req *desk.Request, p growth.Product, family string, herd int64, name string, c growth.Clearance) error {
	subject := heldSubject(p, family, herd)
	bells, err := req.Tx.SubjectBells(req.House.ID, subject)
	if err != nil {
		return err
	}
	for _, b := range bells {
		if !b.Stopped {
			if err := endBell(req, b); err != nil {
				return err
			}
		}
	}
	if c.Never || c.Unknown || c.Free(req.Now) || p == growth.Meat {
		return nil
	}
	_, err = req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: fmt.Sprintf("%s of %s: the label's time is over", p, name), Whom: reminders.Keepers, Daily: true, Care: true, Useful: reminders.UsefulDaily,
		Next: reminders.House{Household: req.House}.NextRound(c.At), Subject: subject, Step: "released", Why: "withdrawal typed from the label", Made: req.Now,
	})
	return err
}

// labelTold writes the label's times of the last treatment down.
func labelTold(req *desk.Request) (desk.Reply, error) {
	if !req.Grown() {
		return desk.Refuse("Medicine is an adult's work: an adult writes it down, with the label in hand."), nil
	}
	all, err := req.Tx.Treatments(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	who := patients(req, b)
	var t storage.Treatment
	for _, one := range slices.Backward(all) {
		if (len(who) == 0 || one.Kind == who[0].kind.family) && labelFits(labelSaid(req, one.Kind), one.Kind) {
			t = one
			break
		}
	}
	if t.ID == 0 {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("No treatment is written down. For example: wormed the hens, eggs 7 days, meat 14 days by the label"), nil
	}
	l := labelSaid(req, t.Kind)
	if reply := milkNo(req, l); reply.Head != "" {
		return reply, nil
	}
	if l.bare != "" || l == (label{}) {
		return desk.AskBack("As the label says it: eggs 7 days, milk 96 hours, meat 14 days"), nil
	}
	if err := req.Record(storage.Entry{Kind: "treated", Text: fmt.Sprintf("label of %s, %s%s", t.What, t.Name, labelText(l, t.Kind))}); err != nil {
		return desk.Reply{}, err
	}
	for _, v := range []struct{ from, to *sql.NullFloat64 }{{&l.eggs, &t.EggDays}, {&l.milk, &t.MilkHours}, {&l.meat, &t.MeatDays}} {
		if v.from.Valid {
			*v.to = *v.from
		}
	}
	if err := req.Tx.SaveTreatment(t); err != nil {
		return desk.Reply{}, err
	}
	lines, err := afterTreatment(req, t.Kind, t.Herd, t.Name)
	out := desk.Answer(fmt.Sprintf("%s, %s: the label's times are written down.", desk.Upper(t.Name), req.SayDay(t.At)), lines...)
	out.Cautions = []string{"By the label as typed: check it."}
	return out, err
}

// labelFits reports times of what that family gives: no milk of hens.
func labelFits(l label, family string) bool {
	own := gives(family)
	return (!l.eggs.Valid || slices.Contains(own, growth.Eggs)) && (!l.milk.Valid || slices.Contains(own, growth.Milk))
}

func plainHeld(req *desk.Request, words []string) bool {
	if len(strangers(req, words...)) > 0 || !hasWord(req, "egg", "eggs", "milk", "meat", "withdrawal", "kill", "slaughter", "butcher") {
		return false
	}
	return !hasWord(req, "left", "out", "fridge")
}

// held answers whether what the animals give may be used.
func held(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	who := patients(req, b)
	family, herd := "", int64(0)
	if len(who) > 0 {
		family, herd = who[0].kind.family, who[0].herd.ID
	}
	all, err := req.Tx.Treatments(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 && len(b.herds) == 0 && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	asked := askedProducts(req)
	var lines, seen []string
	for _, t := range all {
		key := fmt.Sprintf("%s:%d", t.Kind, t.Herd)
		if slices.Contains(seen, key) || family != "" && t.Kind != family || herd != 0 && t.Herd != 0 && t.Herd != herd {
			continue
		}
		seen = append(seen, key)
		for _, p := range gives(t.Kind) {
			if !slices.Contains(asked, p) {
				continue
			}
			c, last, err := clearance(req, p, t.Kind, t.Herd)
			if err != nil {
				return desk.Reply{}, err
			}
			if text := clearText(req, p, c, last); text != "" && !slices.Contains(lines, text) {
				lines = append(lines, text)
			} else if text == "" && p == growth.Eggs {
				kept, err := heldLots(req, t.Kind)
				if err != nil {
					return desk.Reply{}, err
				}
				lines = append(lines, kept...)
			}
		}
	}
	if len(lines) > 0 {
		out := desk.Answer(lines[0], lines[1:]...)
		out.Cautions = []string{"Earliest, if the label is as it was typed."}
		return out, nil
	}
	out := desk.Answer(fmt.Sprintf("No treatment that is written down holds the %s back.", askedText(asked)))
	out.Assumed = []string{"every treatment was written down, with its label as typed"}
	return out, nil
}

func askedProducts(req *desk.Request) []growth.Product {
	var out []growth.Product
	for _, p := range growth.Products() {
		if hasWord(req, p.String()) || p == growth.Meat && hasWord(req, "kill", "slaughter", "butcher") || p == growth.Eggs && hasWord(req, "egg") {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return growth.Products()
	}
	return out
}

func askedText(asked []growth.Product) string {
	var names []string
	for _, p := range asked {
		names = append(names, p.String())
	}
	return desk.List(names)
}

// treatments lists what was given.
func treatments(req *desk.Request) (desk.Reply, error) {
	if plainDose(req) || hasWord(req, "dose", "dosage") {
		return noDose()
	}
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	all, err := req.Tx.Treatments(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 && !req.Direct {
		return desk.Reply{}, desk.ErrSilent
	}
	who := patients(req, b)
	var lines []string
	for _, t := range slices.Backward(all) {
		if len(who) > 0 && (t.Kind != who[0].kind.family || who[0].herd.ID != 0 && t.Herd != 0 && t.Herd != who[0].herd.ID) || len(lines) == 8 {
			continue
		}
		l := label{eggs: t.EggDays, milk: t.MilkHours, meat: t.MeatDays}
		lines = append(lines, fmt.Sprintf("%s %s: %s%s", req.Say(t.At), t.Name, t.What, labelText(l, t.Kind)))
	}
	if len(lines) == 0 {
		return desk.Answer("No treatment is written down."), nil
	}
	return desk.Answer("Treatments, the last first:", lines...), nil
}

// laidBefore reports eggs of a day before the dose.
func laidBefore(req *desk.Request, e storage.Eggs, t storage.Treatment) bool {
	return e.Day.Before(reminders.Day(req.WallOf(t.At)))
}

// heldEggs says until when eggs just collected are not to be eaten.
func heldEggs(req *desk.Request, found []storage.Eggs) ([]string, error) {
	c, t, err := clearance(req, growth.Eggs, found[0].Kind, 0)
	if err != nil || t.ID == 0 {
		return nil, err
	}
	text := clearText(req, growth.Eggs, c, t)
	if text == "" || laidBefore(req, found[0], t) {
		return nil, nil
	}
	return []string{text, "Keep them apart, and throw them out or do as the vet says: the date frees only what is laid after it."}, nil
}
