package garden

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"yardbell/calc/measure"
	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func tinAsks() []desk.Ask {
	counted := []phrase.Kind{phrase.KindNumber, phrase.KindQuantity}
	packed := []string{"packet tomato Ruby 40 seeds 2025 from Ruth"}
	about := []string{"how", "much", "many", "what", "whats", "seed", "seeds", "have", "we", "got", "in", "the", "tin", "is", "left", "any", "enough", "for", "must", "should", "do", "need", "to", "buy", "order", "plants", "i", "all", "show", "list", "packets", "this", "year", "our", "which", "too"}
	return []desk.Ask{
		{
			Name: "packet", Command: "seeds", Needs: ofCrop, Text: true, Help: "put a packet of seed into the tin", Forms: []string{"^packet|packets", "^got * packet|packets", "^new packet", "^bought * packet", "^saved * seed|seeds"}, Kinds: counted, Lists: []string{"crops"},
			Examples: []desk.Example{{Line: "packet tomato Ruby 40 seeds 2025 from Ruth"}, {Line: "packet of leek seed 150 seeds"}, {Line: "packet 2 g carrot 2025"}}, Plain: plainPacket, Do: packet,
		},
		{
			Name: "tin", Command: "seeds", Question: true, Help: "the seed tin: what is in it",
			Forms: []string{"^tin$", "^seed tin$", "what|what's|whats * seed|seeds * got|have|tin|left", "^what seed|seeds * have|got", "have|got * any * seed|seeds", "how much|many * seed|seeds * have|got|left", "what's|whats|what * in the tin$"}, Lists: []string{"crops"}, Fill: about,
			Examples: []desk.Example{{Line: "tin"}, {Setup: packed, Line: "what seed have we got"}, {Setup: packed, Line: "have we any tomato seed"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: tin,
		},
		{
			Name: "tin", Command: "seeds", Question: true, Help: "whether the seed is enough, and what to buy",
			Forms: []string{"enough * seed|seeds", "what|which seed|seeds * buy|order|need|get", "seed|seeds to buy|order", "seed|seeds enough"}, Kinds: []phrase.Kind{phrase.KindNumber}, Lists: []string{"crops"}, Fill: about,
			Examples: []desk.Example{{Line: "have we enough seed"}, {Setup: packed, Line: "have we enough seed for 24 tomatoes"}, {Line: "what seed must we buy"}}, Plain: func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 }, Do: enough,
		},
		{
			Name: "wanted", Command: "seeds", Needs: ofCrop, Help: "how many plants you want this season: the plan that seed is bought for",
			Forms: []string{"^plan|planning", "^we|i want", "^want"}, Kinds: []phrase.Kind{phrase.KindNumber}, Lists: []string{"crops"}, Fill: []string{"plan", "planning", "want", "we", "for", "this", "year", "season", "plants", "of", "no", "none", "next", "to", "grow", "more"},
			Examples: []desk.Example{{Setup: dated, Line: "plan 24 tomatoes"}, {Setup: dated, Line: "we want 200 onions this year"}, {Setup: slices.Concat(dated, []string{"plan 24 tomatoes"}), Line: "plan no tomatoes"}},
			Plain: func(req *desk.Request) bool {
				return len(req.Reading.Unknown) == 0 && !asks(req) && (countSaid(req) > 0 || hasWord(req, "no", "none")) && hasWord(req, "plan", "planning", "grow", "plants", "year", "season")
			},
			Do: want,
		},
		{
			Name: "packet", Command: "seeds", Needs: ofCrop, Help: "seed that is used up", Forms: []string{"^used up", "seed|seeds * gone|finished|empty$", "^no more * seed|seeds", "^finished * seed|seeds"}, Lists: []string{"crops"},
			Fill: []string{"used", "up", "the", "all", "of", "seed", "seeds", "is", "are", "gone", "finished", "empty", "packet", "more", "no", "last", "our"}, Examples: []desk.Example{{Setup: packed, Line: "used up the tomato seed"}},
			Plain: func(req *desk.Request) bool {
				return len(req.Reading.Unknown) == 0 && !asks(req) && hasWord(req, "seed", "seeds", "packet")
			},
			Do: usedUp,
		},
	}
}

// plainPacket takes a plain line for a packet of seed, and not for one of soup: it says
// seed, how many, whose or which kind, and nothing else is left over.
func plainPacket(req *desk.Request) bool {
	if asks(req) || !surely(req) || hasWord(req, "please", "frozen", "freezer", "soup") {
		return false
	}
	_, end := behind(req, "from")
	toks := req.Reading.Tokens[:end]
	named := false
	for _, t := range leftOver(req, "packet", "packets", "got", "new", "bought", "saved", "seed", "seeds", "more", "own", "from") {
		if t.Start >= req.Reading.Tokens[len(toks)-1].End {
			continue // whose it was
		}
		if !unicode.IsUpper([]rune(t.Text)[0]) {
			return false
		}
		named = true
	}
	return named || end < len(req.Reading.Tokens) || hasWord(req, "seed", "seeds") || slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
		counts := s.Kind == phrase.KindNumber || s.Kind == phrase.KindQuantity
		return counts && (s.Past >= len(toks) || !strings.HasPrefix(toks[s.Past].Low, "packet"))
	})
}

// packet puts a packet of seed into the tin.
func packet(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "packet tomato Ruby 40 seeds 2025 from Ruth")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	whence, end := behind(req, "from")
	got := storage.Packet{Household: req.House.ID, Crop: p.table.Name, Variety: p.variety, Year: req.Wall.Year(), Whence: whence}
	if got.Variety == "" {
		got.Variety = kindBefore(req, end)
	}
	for _, s := range req.Reading.Spans {
		switch n := whole(s); {
		case s.Kind == phrase.KindNumber && len(s.Text) == 4 && n >= 1990 && n <= 2100:
			got.Year = n
		case yearInWords(req, s) > 0:
			got.Year = yearInWords(req, s)
		case s.Kind == phrase.KindNumber && got.Seeds == 0 && !(s.First > 0 && yearInWords(req, spanBefore(req, s)) > 0):
			got.Seeds = n
		case s.Kind == phrase.KindQuantity:
			q := s.Value.(phrase.Quantity)
			from, _, ok := sowing.SeedsPerGram(p.table)
			if q.Unit.Dim == measure.Mass && ok {
				got.Seeds = int(math.Floor(q.Float() * from))
			}
		}
	}
	if got.Year > req.Wall.Year()+1 || got.Year < req.Wall.Year()-30 {
		return desk.AskBack(fmt.Sprintf("Packed for %d? The year on the packet, please.", got.Year)), nil
	}
	got.Left = got.Seeds
	text := "packet of " + packetName(req, got)
	if got.Seeds > 0 {
		text = fmt.Sprintf("packet of %d seeds of %s", got.Seeds, packetName(req, got))
	}
	if whence != "" {
		text += " from " + whence
	}
	if err := req.Record(storage.Entry{Kind: "packet", About: "crop:" + got.Crop, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddPacket(got); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(text) + " in the tin.")
	out.Lines = append(out.Lines, stillGood(req, p, got))
	if len(req.Reading.Of(phrase.KindQuantity)) > 0 && got.Seeds > 0 {
		from, to, _ := sowing.SeedsPerGram(p.table)
		out.Assumed = []string{fmt.Sprintf("%.3g to %.3g seeds a gram; the fewer are counted", from, to)}
	}
	return out, nil
}

// yearInWords is a year as dictation gives it, "twenty twenty five", where a number is
// its first half; 0 for another number.
func yearInWords(req *desk.Request, s phrase.Span) int {
	if whole(s) != 20 {
		return 0
	}
	for _, o := range req.Reading.Of(phrase.KindNumber) {
		if n := whole(o); o.First == s.Past && n > 0 && n < 100 {
			return 2000 + n
		}
	}
	return 0
}

// spanBefore is the number that ends right before a span, the zero span for none.
func spanBefore(req *desk.Request, s phrase.Span) phrase.Span {
	for _, o := range req.Reading.Of(phrase.KindNumber) {
		if o.Past == s.First {
			return o
		}
	}
	return phrase.Span{}
}

func packetName(req *desk.Request, p storage.Packet) string {
	name := called(req, p.Crop)
	if p.Variety != "" {
		name = p.Variety + " " + name
	}
	return fmt.Sprintf("%s %d", name, p.Year)
}

// behind is the words after one, as typed, and where it stands.
func behind(req *desk.Request, word string) (string, int) {
	for i, t := range req.Reading.Tokens {
		if t.Low == word && i+1 < len(req.Reading.Tokens) {
			var words []string
			for _, w := range req.Reading.Tokens[i+1:] {
				if w.Kind != phrase.Word || slices.Contains([]string{"for", "in", "thanks"}, w.Low) {
					break
				}
				words = append(words, w.Text)
			}
			return strings.Join(words, " "), i
		}
	}
	return "", len(req.Reading.Tokens)
}

// kindBefore is the variety that a packet names: words that nothing explains, before
// the word at a place.
func kindBefore(req *desk.Request, past int) string {
	var words []string
	for _, t := range req.Reading.Unknown {
		i := slices.IndexFunc(req.Reading.Tokens, func(o phrase.Token) bool { return o.Start == t.Start })
		if i < past && t.Kind == phrase.Word && !slices.Contains(notNames, t.Low) && len(words) < 3 {
			words = append(words, t.Text)
		}
	}
	return strings.Join(words, " ")
}

// stillGood says what of a packet comes up at its age.
func stillGood(req *desk.Request, p plant, got storage.Packet) string {
	age := float64(max(req.Wall.Year()-got.Year, 0))
	g := sowing.Aged(p.Germination, p.SeedLife, age)
	text := fmt.Sprintf("About %.0f%% comes up", 100*g)
	if age > 0 {
		text += fmt.Sprintf(" at %s (keeps about %.3g)", desk.Plural(int(age), "year"), p.SeedLife)
	}
	if g < sowing.TestFirst {
		text += ": test 20 seeds in damp paper first"
	}
	return text + "."
}

// tin lists the packets, of one crop where the line names one.
func tin(req *desk.Request) (desk.Reply, error) {
	packets, err := req.Tx.Packets(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	crops, reply, err := cropsSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if len(crops) > 0 {
		packets = slices.DeleteFunc(packets, func(p storage.Packet) bool {
			return !slices.ContainsFunc(crops, func(c plant) bool {
				return c.table.Name == p.Crop && (c.variety == "" || strings.EqualFold(c.variety, p.Variety))
			})
		})
		if len(packets) == 0 {
			return desk.Answer(fmt.Sprintf("No %s seed is in the tin.", crops[0].label())), nil
		}
	}
	if len(packets) == 0 {
		return desk.Answer("The seed tin is empty.", "Put a packet in: packet tomato Ruby 40 seeds 2025 from Ruth"), nil
	}
	out := desk.Answer("In the seed tin:")
	for _, got := range packets {
		p, err := plantOf(req, got.Crop, got.Variety)
		if err != nil {
			return desk.Reply{}, err
		}
		line := packetName(req, got)
		if got.Seeds > 0 {
			line = fmt.Sprintf("%d %s", got.Left, line)
		}
		if got.Whence != "" {
			line += ", from " + got.Whence
		}
		out.Lines = append(out.Lines, line+": "+strings.ToLower(stillGood(req, p, got)[:1])+stillGood(req, p, got)[1:])
	}
	return out, nil
}

// usedUp takes the packets of a crop out of the tin.
func usedUp(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "used up the leek seed")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	packets, err := req.Tx.Packets(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	packets = slices.DeleteFunc(packets, func(o storage.Packet) bool {
		return o.Crop != p.table.Name || p.variety != "" && !strings.EqualFold(o.Variety, p.variety)
	})
	if len(packets) == 0 {
		return desk.Answer(fmt.Sprintf("No %s seed was in the tin's book.", p.label())), nil
	}
	if err := req.Record(storage.Entry{Kind: "packet", About: "crop:" + p.table.Name, Text: "used up the " + p.label() + " seed"}); err != nil {
		return desk.Reply{}, err
	}
	for _, o := range packets {
		o.Left, o.Over = 0, true
		if err := req.Tx.SavePacket(o); err != nil {
			return desk.Reply{}, err
		}
	}
	return desk.Quietly(fmt.Sprintf("The %s seed is used up.", p.label())), nil
}

// firstStart is how many days before the last frost the earliest crops are started.
const firstStart = 14 * 7

// seasonYear is the year of the season that is planned: the running one, or in autumn
// the next.
func seasonYear(req *desk.Request) int {
	f, err := frostsOf(req)
	if err != nil || !f.known {
		return req.Wall.Year()
	}
	now, next := f.seasons(dayOf(req))
	if opens := next.Last.AddDate(0, 0, -firstStart); dayOf(req).After(now.First) || !dayOf(req).Before(opens) {
		return next.Last.Year()
	}
	return now.Last.Year()
}

// want writes down how many plants of a crop are wanted.
func want(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "plan 24 tomatoes")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	n := countSaid(req)
	if n == 0 && !hasWord(req, "no", "none") {
		return desk.AskBack(fmt.Sprintf("How many plants? For example: plan 24 %s", p.label())), nil
	}
	year := seasonYear(req)
	text := fmt.Sprintf("the plan for %d: %s of %s", year, desk.Plural(n, "plant"), p.label())
	if n == 0 {
		text = fmt.Sprintf("the plan for %d: no %s", year, p.label())
	}
	if err := req.Record(storage.Entry{Kind: "wanted", About: "crop:" + p.table.Name, Text: text}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetWanted(req.House.ID, year, storage.Wanted{Crop: p.table.Name, Variety: p.variety, Plants: n}); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(text) + ".")
	if n > 0 {
		line, _, err := seedFor(req, p, n)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Lines = []string{line}
	}
	return out, nil
}

// enough says whether the tin holds the seed for the plan, or for what the line asks,
// and what to buy.
func enough(req *desk.Request) (desk.Reply, error) {
	crops, reply, err := cropsSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if len(crops) > 0 {
		n := countSaid(req)
		if n == 0 {
			return desk.AskBack(fmt.Sprintf("For how many plants? For example: have we enough seed for 24 %s", crops[0].label())), nil
		}
		line, short, err := seedFor(req, crops[0], n)
		if err != nil {
			return desk.Reply{}, err
		}
		out := desk.Answer("Yes. " + line)
		if short > 0 {
			out = desk.Answer("No. " + line)
		}
		out.Assumed = []string{"90% sure; packets that were not counted hold nothing"}
		return out, nil
	}
	return enoughForPlan(req)
}

func enoughForPlan(req *desk.Request) (desk.Reply, error) {
	year := seasonYear(req)
	wanted, err := req.Tx.WantedIn(req.House.ID, year)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(wanted) == 0 {
		return desk.Answer(fmt.Sprintf("Nothing is planned for %d yet: tell me how many plants you want, and I count the seed.", year), "For example: plan 24 tomatoes"), nil
	}
	var ok, buy []string
	for _, w := range wanted {
		p, err := plantOf(req, w.Crop, w.Variety)
		if err != nil {
			return desk.Reply{}, err
		}
		line, short, err := seedFor(req, p, w.Plants)
		if err != nil {
			return desk.Reply{}, err
		}
		if short > 0 {
			buy = append(buy, line)
		} else {
			ok = append(ok, line)
		}
	}
	out := desk.Answer(fmt.Sprintf("The seed is enough for the plan of %d.", year), ok...)
	if len(buy) > 0 {
		out = desk.Answer(fmt.Sprintf("To buy for the plan of %d:", year), buy...)
		if len(ok) > 0 {
			out.Lines = append(out.Lines, "Enough there is:")
			out.Lines = append(out.Lines, ok...)
		}
	}
	out.Assumed = []string{"90% sure, by the age of each packet; packets that were not counted hold nothing"}
	return out, nil
}

// seedFor holds the tin against a number of plants: the sentence to say, and how many
// fresh seeds are short.
func seedFor(req *desk.Request, p plant, plants int) (string, int, error) {
	packets, err := req.Tx.Packets(req.House.ID)
	if err != nil {
		return "", 0, err
	}
	have, uncounted, keep := 0, 0, 0.0 // keep is how many plants the tin gives in the mean
	for _, o := range packets {
		if o.Crop != p.table.Name || p.variety != "" && !strings.EqualFold(o.Variety, p.variety) {
			continue
		}
		if o.Seeds == 0 {
			uncounted++
			continue
		}
		have += o.Left
		keep += float64(o.Left) * sowing.Aged(p.Germination, p.SeedLife, float64(max(req.Wall.Year()-o.Year, 0)))
	}
	rate := p.Germination
	if have > 0 {
		rate = keep / float64(have)
	}
	need, err := sowing.SeedsFor(plants, usualSure, rate, 0)
	if err != nil {
		return fmt.Sprintf("%s for %d plants: not raised from counted seed.", desk.Upper(p.label()), plants), 0, nil //nolint:nilerr // cloves and tubers
	}
	text := fmt.Sprintf("%s for %s: %d seeds", desk.Upper(p.label()), desk.Plural(plants, "plant"), need)
	switch {
	case have >= need:
		return fmt.Sprintf("%s, %d in the tin (%.0f%% come up).", text, have, 100*rate), 0, nil
	case uncounted > 0:
		return fmt.Sprintf("%s, %d counted in the tin and %s not counted.", text, have, desk.Plural(uncounted, "packet")), 0, nil
	}
	short := freshFor(p, plants, have, rate)
	if have == 0 {
		return fmt.Sprintf("%s, none in the tin: buy %d.", text, short), short, nil
	}
	return fmt.Sprintf("%s, only %d in the tin (%.0f%% come up): buy %d fresh.", text, have, 100*rate, short), short, nil
}

// mostTin is how many seeds of a crop are reckoned one by one beside fresh ones.
const mostTin = 3000

// freshFor is the least number of fresh seeds that, with those in the tin, make the
// plants as sure as usual.
func freshFor(p plant, plants, have int, rate float64) int {
	if plants > mostTin || have > mostTin {
		return plants // so many are bought by weight anyhow
	}
	sure := func(fresh int) bool {
		sum := 0.0
		for k := 0; k <= have; k++ { // exactly k of the old ones come up
			exactly := sowing.Assured(have, k, rate) - sowing.Assured(have, k+1, rate)
			sum += exactly * sowing.Assured(fresh, max(plants-k, 0), p.Germination)
		}
		return sum >= usualSure
	}
	low, high := 0, 1
	for !sure(high) && high < 100*mostTin {
		low, high = high, 2*high
	}
	for high-low > 1 {
		if mid := (low + high) / 2; sure(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}
