package barn

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/breeding"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func distressAsks() []desk.Ask {
	return []desk.Ask{{
		Name: "vet", Command: "vet", Text: true, Help: "an animal in trouble: when the vet is called, said at once to whoever types it",
		Forms: []string{"^vet", "^call the vet"}, Urgent: func(req *desk.Request) bool { return distressOf(req).is() },
		Examples: []desk.Example{{Setup: []string{"Clover is a doe"}, Line: "vet Clover has been straining for an hour"}, {Setup: []string{"we have a sow"}, Line: "sow temp 105"}, {Setup: []string{"Clover is a doe"}, Line: "Clover is bloated"}},
		Plain:    func(req *desk.Request) bool { return distressOf(req).is() }, Do: callVet,
	}}
}

// distress is what a line tells of an animal in trouble.
type distress struct {
	name    string // whom it befell
	species string // as the tables of help call it
	labour  string // "straining" or "water": at a birth; empty for neither
	lasted  time.Duration
	nothing bool // and nothing has come
	sign    breeding.Sign
	degrees float64 // °F, 0 for not told
}

func (d distress) is() bool {
	return d.species != "" && (d.labour != "" || d.sign.Name != "" || d.degrees != 0)
}

// Words of a birth that does not get on, and what tells that nothing came.
var (
	strains  = []string{"straining", "pushing", "labouring", "laboring", "contracting", "labour", "labor"}
	waters   = []string{"waters", "water", "waterbag", "bag"}
	broke    = []string{"broke", "broken", "burst", "hanging", "showing", "gone", "went"}
	nothings = []string{"nothing", "no", "none", "without", "not", "yet", "still"}
	// atWhat stand behind "pushing" when she pushes at something.
	atWhat = []string{"the", "a", "my", "his", "her", "our", "their", "at", "on", "against", "into", "over", "through", "past", "to", "me", "him", "us", "out", "everyone", "up", "under"}
	// calm are words of a line that tells of what is over, or asks of what may come.
	calm = []string{"fine", "ok", "okay", "if", "before", "remember", "once", "better", "used", "could", "would", "might", "when", "after", "born", "had", "lol", "haha", "i", "i'm", "my"}
)

// distressOf reads a line that tells of an animal of the household in trouble. It reads
// loosely: who types it has no time, and the answer changes nothing.
func distressOf(req *desk.Request) distress {
	toks := req.Reading.Tokens
	over := hasWord(req, calm...) && !hasWord(req, "do", "help") || hasWord(req, "was", "were") && !hasWord(req, nothings...)
	if len(toks) < 3 || len(toks) > 30 || over || slices.Contains([]string{"is", "are", "has", "does", "did"}, word(req, 0)) {
		return distress{}
	}
	d := distress{}
	for i, t := range toks {
		switch {
		case slices.Contains(strains, t.Low) && !slices.Contains(atWhat, word(req, i+1)):
			d.labour = "straining"
		case slices.Contains(waters, t.Low) && (slices.Contains(broke, word(req, i+1)) || slices.Contains(broke, word(req, i+2))):
			d.labour = "water"
		}
	}
	said := " " + strings.Join(phrase.Words(req.Text), " ") + " "
	words := func(s breeding.Sign) bool {
		return slices.ContainsFunc(s.Words, func(w string) bool {
			if !strings.Contains(said, w) { // most lines tell of no trouble
				return false
			}
			_, after, is := strings.Cut(said, " "+w+" ")
			next, _, _ := strings.Cut(after, " ")
			return is && (s.Now || !slices.Contains(atWhat, next)) // "won't eat their greens"
		})
	}
	warm := hasWord(req, "temp", "temperature", "fever")
	if d.labour == "" && !warm && !slices.ContainsFunc(breeding.AllSigns(), words) {
		return distress{}
	}
	d.name, d.species = sufferer(req, d.labour != "")
	if d.species == "" {
		return distress{}
	}
	if i := slices.IndexFunc(breeding.Signs(d.species), words); i >= 0 {
		d.sign = breeding.Signs(d.species)[i]
	}
	if warm {
		d.degrees = degreesSaid(req)
	}
	d.lasted, d.nothing = lasted(req), hasWord(req, nothings...)
	return d
}

// sufferer is the animal of the household that a line begins with: by its name, or by its
// kind where the book has such. Of a birth, any kind that gives birth will do.
func sufferer(req *desk.Request, birth bool) (name, species string) {
	b, err := openBook(req)
	if err != nil {
		return "", ""
	}
	toks := req.Reading.Tokens
	for i, t := range toks {
		if i > 4 {
			break
		}
		low := strings.TrimSuffix(strings.TrimSuffix(t.Low, "'s"), "’s")
		for _, h := range b.alive() {
			k, _ := beastNamed(h.Kind)
			switch {
			case h.Name != "" && strings.EqualFold(h.Name, low):
				return h.Name, speciesOf[k.family]
			case low == k.name || low == k.plural || slices.Contains(k.words, low):
				if one := b.of(k.name); len(one) == 1 && h.Head == 1 {
					return called(h), speciesOf[k.family]
				}
				return "the " + low, speciesOf[k.family]
			}
		}
		for _, k := range beasts {
			if birth && k.age == grown && !k.lays && (low == k.name || slices.Contains(k.words, low)) && len(breeding.Help(speciesOf[k.family])) > 0 {
				return "the " + low, speciesOf[k.family]
			}
		}
	}
	return "", ""
}

// lasted is how long a line says that it has gone on; 0 for not told.
func lasted(req *desk.Request) time.Duration {
	r := phrase.Read(req.Text, req.Reading.Tokens, req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindDuration, phrase.KindClock, phrase.KindDate, phrase.KindPart}})
	for _, s := range r.Of(phrase.KindDuration) {
		return s.Value.(time.Duration)
	}
	if w := r.Moment(req.Context(), phrase.Past); w.Count > 0 && w.HasClock && !w.Wall.After(req.Wall) {
		return req.Wall.Sub(w.Wall)
	}
	if hasWord(req, "hours", "ages", "night") {
		return 2 * time.Hour
	}
	return 0
}

// degreesSaid is the temperature of an animal in °F, 0 for none that can be one.
func degreesSaid(req *desk.Request) float64 {
	r := phrase.Read(req.Text, req.Reading.Tokens, req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindNumber}})
	for _, s := range r.Of(phrase.KindNumber) {
		v := ratOf(s.Value.(*big.Rat))
		switch {
		case v >= 30 && v <= 46: // °C
			return v*1.8 + 32
		case v >= 85 && v <= 115:
			return v
		}
	}
	return 0
}

// callVet answers with whom to call and by when, by the published limits.
func callVet(req *desk.Request) (desk.Reply, error) {
	d := distressOf(req)
	if !d.is() {
		return desk.AskBack("Which animal, and what is wrong with her? For example: vet Clover has been straining for an hour"), nil
	}
	out, now := d.answer(req)
	if d.labour != "" {
		c := course{storage.Mating{Species: d.species}, breeding.Length{Species: d.species}}
		for _, l := range c.help() {
			if !strings.HasPrefix(l, "Afterbirth") {
				out.Lines = append(out.Lines, l)
			}
		}
	}
	if now {
		out.Lines = append(out.Lines, "Tell the vet: what is seen, since when, her temperature, and what she was given.")
	}
	out.Cautions = []string{"An adult goes to her, a second within call; children stay out of the pen."}
	return out, nil
}

// answer is the first of an answer, and whether the vet is called at once.
func (d distress) answer(req *desk.Request) (out desk.Reply, now bool) {
	name := desk.Upper(d.name)
	if d.sign.Now {
		return desk.Answer(fmt.Sprintf("Call the vet now: %s, %s.", d.name, d.sign.Name), d.sign.Act), true
	}
	if d.labour != "" {
		return d.atBirth(req)
	}
	if d.degrees != 0 {
		return d.feverish()
	}
	return desk.Answer(fmt.Sprintf("%s off feed: call the vet today, at once with a swollen belly, fever, straining or lying down.", name), d.sign.Act), false
}

// limit is the published limit of how long a birth may go on like that.
func (d distress) limit() breeding.Limit {
	for _, l := range breeding.Help(d.species) {
		if l.After > 0 && !strings.Contains(l.Sign, "afterbirth") && strings.Contains(l.Sign, d.labour) {
			return l
		}
	}
	for _, l := range breeding.Help(d.species) {
		if l.After > 0 && strings.Contains(l.Sign, "straining") {
			return l
		}
	}
	return breeding.Limit{After: 30 * time.Minute}
}

func (d distress) atBirth(req *desk.Request) (desk.Reply, bool) {
	name, l := desk.Upper(d.name), d.limit()
	what := "straining" + sayLasted(" for %s", d.lasted)
	if d.labour == "water" {
		what = "the waters broke" + sayLasted(" %s ago", d.lasted)
	}
	if d.lasted == 0 && d.nothing {
		what += ", and nothing comes"
	}
	switch {
	case d.lasted >= l.After, d.lasted == 0 && d.nothing:
		return desk.Answer(fmt.Sprintf("Call the vet now: %s, %s.", d.name, what)), true
	case d.lasted > 0:
		at := req.Wall.Add(l.After - d.lasted)
		out := desk.Answer(fmt.Sprintf("%s, %s: call the vet at %s if nothing has come.", name, what, at.Format("15:04")))
		out.Buttons = []storage.Button{desk.Labelled("Ring me then", fmt.Sprintf("ring me call the vet for %s at %s", d.name, at.Format("15:04")))}
		return out, false
	}
	return desk.Answer(fmt.Sprintf("%s, %s: note when it began. Call the vet when:", name, what)), false
}

// sayLasted writes how long it has gone on into a sentence, nothing when it was not told.
func sayLasted(sentence string, d time.Duration) string {
	switch {
	case d == 0:
		return ""
	case d < 2*time.Hour:
		return fmt.Sprintf(sentence, fmt.Sprintf("%.0f min", d.Minutes()))
	}
	return fmt.Sprintf(sentence, fmt.Sprintf("%.3g hours", d.Hours()))
}

// feverish holds a temperature against the usual one of the species.
func (d distress) feverish() (desk.Reply, bool) {
	f, ok := breeding.FeverOf(d.species)
	if !ok {
		return desk.Answer(fmt.Sprintf("I have no usual temperature of %s: the vet has.", d.name)), false
	}
	both := func(v float64) string { return fmt.Sprintf("%.1f F (%.1f C)", v, breeding.Celsius(v)) }
	usual := fmt.Sprintf("Usual is %s to %s.", both(f.F.Low), both(f.F.High))
	if d.degrees > f.F.High || d.degrees < f.F.Low {
		out := desk.Answer(fmt.Sprintf("Call the vet now: %s, %s.", d.name, both(d.degrees)), usual, "Shade and water in heat; dry and warm when it is low. No medicine but the vet's.")
		return out, true
	}
	return desk.Answer(fmt.Sprintf("%s, %s: within the usual.", desk.Upper(d.name), both(d.degrees)), usual), false
}
