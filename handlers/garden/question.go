package garden

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// questionAsks are the plain questions of the garden that write nothing: what has to be
// covered, whether a crop stands a night, how long its seed keeps.
func questionAsks() []desk.Ask {
	figures := []phrase.Kind{phrase.KindQuantity, phrase.KindNumber, phrase.KindDate, phrase.KindPart}
	all := func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 && !spokenTo(req) }
	return []desk.Ask{{
		Name: "cold", Command: "frost", Question: true, Keep: true, Help: "what has to be covered tonight",
		Forms: []string{"what|which|anything * cover|covering|covered|protect|protecting", "^frost tonight|tomorrow", "is|will * frost|freeze tonight|tomorrow", "do|should|must i|we cover"},
		Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart}, Lists: []string{"crops"},
		Fill:  []string{"what", "needs", "which", "anything", "cover", "covering", "covered", "protect", "protecting", "frost", "tonight", "tomorrow", "night", "freeze", "must", "plants", "outside", "garden", "against", "there", "going"},
		Plain: func(req *desk.Request) bool { return all(req) && questioned(req) },
		Examples: []desk.Example{
			{Setup: append(slices.Clone(dated), "frost tonight -1"), Line: "what do I need to cover tonight"},
		}, Strict: true, Do: needsCover,
	}, {
		Name: "cold", Command: "frost", Needs: ofCrop, Question: true, Help: "whether a crop stands a cold night",
		Forms: []string{"will|would|can|could|do|does * survive|stand|take|cope"}, Kinds: figures, Lists: []string{"crops"},
		Fill:     []string{"survive", "stand", "take", "cope", "with", "minus", "below", "degrees", "degree", "c", "f", "frost", "night", "down", "low", "our"},
		Plain:    func(req *desk.Request) bool { _, ok := degreesSaid(req); return ok && all(req) && onlyOne(req) },
		Examples: []desk.Example{{Line: "will kale survive -3"}}, Strict: true, Do: stands,
	}, {
		Name: "seedlife", Command: "seeds", Needs: ofCrop, Question: true, Help: "how long a crop's seed keeps, and whether old seed is worth sowing",
		Forms: []string{"how long * seed|seeds keep|keeps|last|lasts|store", "how long * seed|seeds good|viable", "is|are|will * seed|seeds * good|ok|okay|viable|grow|germinate|any", "seed|seeds * any|still|ok|okay good|ok|viable|alright", "seed|seeds from * ok|okay|good", "^old"}, Kinds: []phrase.Kind{phrase.KindNumber, phrase.KindAfter, phrase.KindDuration}, Lists: []string{"crops"},
		Fill:     []string{"how", "long", "seed", "seeds", "keep", "keeps", "last", "lasts", "store", "good", "viable", "any", "still", "ok", "okay", "grow", "germinate", "worth", "sowing", "old", "years", "year", "packet", "alright", "my", "our", "use", "sow"},
		Plain:    func(req *desk.Request) bool { return all(req) && hasWord(req, "seed", "seeds") },
		Examples: []desk.Example{{Line: "how long do carrot seeds keep"}, {Line: "is parsnip seed from 2023 any good"}}, Strict: true, Do: seedLife,
	}}
}

// questioned reports a line that asks: it begins with a word of asking, or ends with its
// mark.
func questioned(req *desk.Request) bool {
	toks := req.Reading.Tokens
	return hasWord(req, "what", "which", "anything") || toks[len(toks)-1].Low == "?" || toks[0].Low == "is" || toks[0].Low == "do" || toks[0].Low == "should" || toks[0].Low == "must" || toks[0].Low == "will"
}

// needsCover lists what a night would hurt of which the low was told; of another it asks
// for the low, and names what stands outside and is tender.
func needsCover(req *desk.Request) (desk.Reply, error) {
	night, ok := nightSaid(req)
	if !ok {
		return desk.AskBack("Which night? For example: what needs covering tonight"), nil
	}
	all, err := standingNow(req)
	if err != nil {
		return desk.Reply{}, err
	}
	told, err := req.Tx.ColdsFrom(req.House.ID, night)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(told) > 0 && told[0].Night.Equal(night) {
		return toCover(req, told[0], harmed(all, told[0])), nil
	}
	out := desk.AskBack(fmt.Sprintf("No low is told for the night of %s. What does the forecast say? For example: %s", sayDate(req, night), lowExample(req)))
	for _, h := range harmed(all, storage.Cold{Night: night, Low: 0}) {
		out.Lines = append(out.Lines, "at freezing: "+h.says())
	}
	return out, nil
}

func toCover(req *desk.Request, c storage.Cold, hurt []threatened) desk.Reply {
	head := fmt.Sprintf("%s the night of %s.", sayLow(req, c.Low), sayDate(req, c.Night))
	if len(hurt) == 0 {
		return desk.Answer(head + " Nothing that is written down as standing outside would be hurt.")
	}
	out := desk.Answer(head + " Cover or bring in:")
	for _, h := range hurt {
		out.Lines = append(out.Lines, h.says())
	}
	return out
}

// stands says what a forecast low does to a crop in the ground.
func stands(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "will kale survive -3")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	low, ok := degreesSaid(req)
	if !ok {
		return desk.AskBack("How cold? For example: will kale survive -3"), nil
	}
	heads := map[sowing.Harm]string{sowing.Safe: "Yes: %s stands a low of %s.", sowing.AtRisk: "%s is at risk at %s: cover it.", sowing.Hurt: "No: %s would be hurt at %s. Cover it, or bring it in."}
	out := desk.Answer(fmt.Sprintf(heads[sowing.HarmAt(p.Crop, low, false)], p.label(), sayLow(req, low)))
	out.Head = desk.Upper(out.Head)
	out.Assumed = []string{"grown on in the ground; a forecast low: on a clear still night the ground is 2 to 4 C (4 to 7 F) colder", "by its kind (common practice): a well-grown plant hardened by a slow autumn stands more"}
	return out, nil
}

// seedLife says how long seed keeps, and of old seed what share of it comes up.
func seedLife(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "how long do carrot seeds keep")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if p.SeedLife <= 0 {
		return desk.Answer(fmt.Sprintf("How long seed of %s keeps is not in the table.", p.label())), nil
	}
	out := desk.Answer(fmt.Sprintf("Seed of %s keeps about %s, cool and dry.", p.label(), yearsText(p.SeedLife)))
	if age, ok := seedAge(req); ok {
		comes := sowing.Aged(p.Germination, p.SeedLife, age)
		verdict := "Worth sowing"
		switch {
		case age > 2*p.SeedLife:
			verdict = "Buy new"
		case age > p.SeedLife:
			verdict = "Sow it thick, or buy new"
		}
		out.Head = fmt.Sprintf("%s: at %s about %.0f%% comes up (fresh %.0f%%). %s", verdict, desk.Plural(int(math.Round(age)), "year"), 100*comes, 100*p.Germination, out.Head)
	}
	out.Lines = []string{"To know: 20 seeds on damp paper in a bag, warm; count after the days it takes to come up."}
	out.Assumed = []string{"from the table of crops; a packet's own go before"}
	return out, nil
}

// seedAge is how old seed is by the line, in years: "3 years old", "from 2023".
func seedAge(req *desk.Request) (float64, bool) {
	for _, t := range req.Reading.Tokens {
		if y, err := strconv.Atoi(t.Low); err == nil && y >= 1950 && y <= req.Wall.Year() {
			return float64(req.Wall.Year() - y), true
		}
	}
	numbers := req.Reading.Of(phrase.KindNumber)
	if len(numbers) == 0 {
		return 0, false
	}
	n, err := strconv.ParseFloat(numbers[0].Text, 64)
	return n, err == nil && n >= 0 && n < 100
}

func yearsText(years float64) string {
	if years == 1 {
		return "a year"
	}
	return fmt.Sprintf("%.3g years", years)
}
