package garden

import (
	"database/sql"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func ownAsks() []desk.Ask {
	figures := []phrase.Kind{phrase.KindDuration, phrase.KindNumber, phrase.KindShare, phrase.KindQuantity}
	return []desk.Ask{{
		Name: "crop", Command: "crop", Needs: ofCrop, Keeper: true, Text: true, Help: "your own variety, or your own figures for a crop; both yours and the table's are shown",
		Forms: []string{"^crop our|my", "^crop", "^our|my * start|started|sow|sown|set|germinate|germination|take|takes|keep|keeps|need", "germination of our|my"}, Kinds: figures, Lists: []string{"crops"},
		Examples: []desk.Example{
			{Line: "crop tomato Ruby 60 days from transplant"},
			{Line: "crop our winter squash 85 days"},
			{Line: "our peppers start 10 weeks before"},
			{Line: "germination of our onions is 60%"},
			{Setup: []string{"crop our winter squash 85 days"}, Line: "crop our winter squash as in the table"},
		},
		Plain: func(req *desk.Request) bool {
			return !strings.Contains(req.Text, "?") && (hasFigures(req) || hasWord(req, "table")) && (len(req.Reading.Unknown) <= 6)
		},
		Do: own,
	}}
}

func hasFigures(req *desk.Request) bool {
	return len(req.Reading.Of(phrase.KindDuration))+len(req.Reading.Of(phrase.KindShare))+len(req.Reading.Of(phrase.KindQuantity)) > 0
}

// own keeps the household's own figures for a crop or a variety.
func own(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "crop tomato Ruby 60 days from transplant")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	name := p.variety
	if name == "" {
		name = nameSaid(req)
	}
	if hasWord(req, "table") && !hasFigures(req) {
		return backToTable(req, p, name)
	}
	if !hasFigures(req) {
		if name == "" || p.variety != "" {
			return crop(req)
		}
		return desk.AskBack(fmt.Sprintf("I do not know %s yet. How many days has it? For example: crop %s %s 60 days from transplant", desk.Quote(name), p.called, name)), nil
	}
	before := storage.OwnCrop{Crop: p.table.Name, Variety: name}
	if p.own != nil && strings.EqualFold(p.own.Variety, name) {
		before = *p.own
	}
	c, reply := ownFigures(req, before)
	if reply.Head != "" {
		return reply, nil
	}
	if reply := impossible(req, c); reply.Head != "" {
		return reply, nil
	}
	changed := plant{Crop: withOwn(p.Crop, c), table: p.table, variety: name, own: &c, called: p.called}
	if err := changed.Check(); err != nil {
		return desk.Refuse(fmt.Sprintf("Those figures cannot be for %s: days from 1 to 1500, weeks from 0 to 30, shares above 0%% and up to 100%%. Nothing was changed.", changed.label())), nil
	}
	said := figures(changed, 0)[0]
	if err := req.Record(storage.Entry{Kind: "crop", About: "crop:" + p.table.Name, Text: fmt.Sprintf("%s: %s", changed.label(), said)}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetOwnCrop(req.House.ID, c); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s: %s.", desk.Upper(changed.label()), said))
	out.Lines = []string{"Every date goes by these from now on. Back: crop our " + changed.label() + " as in the table"}
	return withMoved(req, out)
}

// Bounds of the household's own figures.
const (
	mostDays  = 1500
	mostWeeks = 30
	leastRate = 0.01
)

// impossible refuses figures that no crop has, and a minus before one.
func impossible(req *desk.Request, c storage.OwnCrop) desk.Reply {
	weeks := func(n sql.NullFloat64) bool { return n.Valid && math.Abs(n.Float64) > mostWeeks }
	minus := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
		return s.Kind != phrase.KindTerm && minusBefore(req, s)
	})
	switch {
	case minus, c.DaysMin.Valid && (c.DaysMin.Int64 < 1 || c.DaysMax.Int64 > mostDays), weeks(c.StartMin), weeks(c.StartMax), weeks(c.SetOut), weeks(c.SowOut):
		return desk.Refuse("Those figures cannot be: days are from 1 to 1500, weeks from 0 to 30. Nothing was changed.")
	case c.Germination.Valid && c.Germination.Float64 < leastRate:
		return desk.Refuse("Germination is from 1% to 100%. Nothing was changed.")
	}
	return desk.Reply{}
}

// minusBefore reports a minus that stands right before a figure, and not a hyphen
// between two.
func minusBefore(req *desk.Request, s phrase.Span) bool {
	toks := req.Reading.Tokens
	if s.First == 0 || toks[s.First-1].Low != "-" && toks[s.First-1].Low != "−" {
		return false
	}
	return s.First == 1 || toks[s.First-2].Kind != phrase.Num
}

// nameSaid is the name that stands beside the crop: "tomato Ruby", "Early Ruby tomato".
func nameSaid(req *desk.Request) string {
	var words []string
	for _, t := range req.Reading.Unknown {
		if t.Kind != phrase.Word || slices.Contains(notNames, t.Low) {
			continue
		}
		words = append(words, t.Text)
	}
	if len(words) > 3 {
		return ""
	}
	return strings.Join(words, " ")
}

// notNames are words of the line that are no variety's name.
var notNames = []string{
	"crop", "our", "my", "days", "day", "weeks", "week", "from", "transplant", "transplanting", "sowing", "setting", "set", "before", "after", "last", "frost", "start", "started", "starts", "germination", "germinate", "germinates", "take", "takes", "keep", "keeps", "sow", "sown", "table", "maturity", "variety",
	"called", "cm", "apart", "years", "year", "seed", "seeds", "packet", "got", "packets", "new", "saved", "old", "own", "percent", "plants", "need", "needs", "rate", "each",
}

// ownFigures reads which figure each length of time and each share is, by the words
// before and behind it.
func ownFigures(req *desk.Request, c storage.OwnCrop) (storage.OwnCrop, desk.Reply) {
	toks := req.Reading.Tokens
	from := 0
	for _, s := range req.Reading.Spans {
		words := func(first, past int, any ...string) bool {
			return slices.ContainsFunc(toks[max(first, 0):min(past, len(toks))], func(t phrase.Token) bool { return slices.Contains(any, t.Low) })
		}
		switch v := s.Value.(type) {
		case time.Duration:
			low := v
			if n, ok := rangeBefore(req, s); ok {
				low = time.Duration(n * float64(unitOf(s, v)))
			}
			weeks := func(d time.Duration) sql.NullFloat64 {
				return sql.NullFloat64{Float64: d.Hours() / 24 / 7, Valid: true}
			}
			after := func(d time.Duration) sql.NullFloat64 {
				w := weeks(d)
				if words(s.Past, s.Past+3, "before") {
					w.Float64 = -w.Float64
				}
				return w
			}
			switch {
			case words(from, s.First, "keep", "keeps") || v >= 300*24*time.Hour && words(from, s.First, "seed"):
				c.Life = sql.NullFloat64{Float64: v.Hours() / 24 / 365.25, Valid: true}
			case words(from, s.First, "start", "started", "starts"):
				c.StartMin, c.StartMax = weeks(low), weeks(v)
			case words(from, s.First, "set", "transplanted", "planted"):
				c.SetOut = after(v)
			case words(from, s.First, "sow", "sown"):
				c.SowOut = after(v)
			default:
				c.DaysMin = sql.NullInt64{Int64: int64(low / (24 * time.Hour)), Valid: true}
				c.DaysMax = sql.NullInt64{Int64: int64(v / (24 * time.Hour)), Valid: true}
				if words(s.Past, s.Past+4, "transplant", "transplanting", "setting", "planting") {
					c.FromOut = sql.NullInt64{Int64: 1, Valid: true}
				} else if words(s.Past, s.Past+4, "sowing", "seed", "sow") {
					c.FromOut = sql.NullInt64{Int64: 0, Valid: true}
				}
			}
			from = s.Past
		case phrase.Quantity:
			if v.Unit.Dim == measure.Length {
				c.InRow = sql.NullFloat64{Float64: v.Float(), Valid: true}
			}
		default:
			if s.Kind == phrase.KindShare {
				c.Germination = sql.NullFloat64{Float64: ratOf(ratValue(s)), Valid: true}
			}
		}
	}
	if g := c.Germination; g.Valid && !(g.Float64 > 0 && g.Float64 <= 1) {
		return c, desk.Refuse("Germination is above 0% and up to 100%. Nothing was changed.")
	}
	return c, desk.Reply{}
}

// rangeBefore is the lower end of "60 to 80 days".
func rangeBefore(req *desk.Request, s phrase.Span) (float64, bool) {
	toks := req.Reading.Tokens
	for _, n := range req.Reading.Of(phrase.KindNumber) {
		if n.Past+1 == s.First && slices.Contains([]string{"-", "–", "to"}, toks[n.Past].Low) {
			return ratOf(ratValue(n)), true
		}
	}
	return 0, false
}

// unitOf is the unit of a length of time as it was typed: a week or a day.
func unitOf(s phrase.Span, v time.Duration) time.Duration {
	if strings.Contains(strings.ToLower(s.Text), "w") && v%(7*24*time.Hour) == 0 {
		return 7 * 24 * time.Hour
	}
	return 24 * time.Hour
}

func backToTable(req *desk.Request, p plant, name string) (desk.Reply, error) {
	if p.own == nil || !strings.EqualFold(p.own.Variety, p.variety) {
		return desk.AskBack(fmt.Sprintf("%s has no figures of your own.", desk.Upper(p.label()))), nil
	}
	if err := req.Record(storage.Entry{Kind: "crop", About: "crop:" + p.table.Name, Text: p.label() + ": figures as in the table"}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.DropOwnCrop(p.own.ID); err != nil {
		return desk.Reply{}, err
	}
	return withMoved(req, desk.Answer(fmt.Sprintf("%s: as in the table again.", desk.Upper(p.label()))))
}
