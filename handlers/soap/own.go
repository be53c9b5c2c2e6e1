package soap

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// ownMark marks a fat whose figure is the household's own.
const ownMark = "the household's own figure"

// ownWidth is how far either side of a single certified figure the fat may be, in
// mg/g: the sample, the method and the lot (common practice).
const ownWidth = 2.0

// fatNamed finds a fat by its name in the table, with the household's own figure
// in place of the table's where there is one, or among the household's own fats.
func fatNamed(req *desk.Request, name string) (lye.Fat, bool, error) {
	f, known := lye.FatNamed(name)
	own, err := req.Tx.OwnFats(req.House.ID)
	if err != nil {
		return lye.Fat{}, false, err
	}
	for _, o := range own {
		if strings.EqualFold(o.Name, name) {
			f.Name, f.Min, f.Typical, f.Max, f.Mark = name, o.Low, o.Typical, o.High, ownMark
			return f, true, nil
		}
	}
	return f, known, nil
}

// ownFats are the names that are not in the table.
func ownFats(tx *storage.Tx, household int64) ([]string, error) {
	own, err := tx.OwnFats(household)
	var out []string
	for _, o := range own {
		if _, known := lye.FatNamed(o.Name); !known && !reserved(o.Name) {
			out = append(out, o.Name)
		}
	}
	return out, err
}

// sayOwn writes a fat's own range.
func sayOwn(f lye.Fat) string {
	if f.Min == f.Max {
		return fmt.Sprintf("%.4g mg/g", f.Typical)
	}
	return fmt.Sprintf("%.4g to %.4g mg/g", f.Min, f.Max)
}

// ceil rounds a share up to a tenth of a percent.
func ceil(share float64) float64 { return math.Ceil(share*1000-1e-9) / 1000 }

func ownAsks() []desk.Ask {
	return []desk.Ask{{
		Name: "fat", Command: "lye", Adult: true, Keeper: true, Keep: true, Text: true,
		Help:  "your own saponification value of a fat, from a supplier's certificate: it narrows the band",
		Forms: []string{"^* sv", "^* saponification"}, Lists: []string{"fats"},
		Examples: []desk.Example{{Line: "lard sv 196"}, {Line: "our tallow sv 194-197"}, {Line: "marula oil sv 188-194"}, {Setup: []string{"lard sv 196"}, Line: "lard sv as in the table"}},
		Plain: func(req *desk.Request) bool {
			return len(svFigure.FindString(afterSV(req))) > 0 || strings.Contains(req.Text, "table")
		},
		Do: ownFigure,
	}}
}

var (
	svFigure = phrase.NewPattern(`(\d+(?:\.\d+)?)\s*(?:(?:-|–|to)\s*(\d+(?:\.\d+)?))?`)
	svWord   = phrase.NewPattern(`(?i)\bsv\b|\bsaponification(\s+(value|number))?`)
	nameWord = phrase.NewPattern(`^[\p{L}][\p{L}' -]{1,40}$`)
)

// afterSV is what stands behind the word.
func afterSV(req *desk.Request) string {
	at := svWord.FindStringIndex(req.Text)
	if at == nil {
		return ""
	}
	return req.Text[at[1]:]
}

// ownFigure sets the household's own saponification value of a fat, or goes back
// to the table's.
func ownFigure(req *desk.Request) (desk.Reply, error) {
	name, reply, ok := svFat(req)
	if !ok {
		return reply, nil
	}
	f, known := lye.FatNamed(name)
	if strings.Contains(strings.ToLower(afterSV(req)), "table") {
		return backToTable(req, name, known)
	}
	m := svFigure.FindStringSubmatch(afterSV(req))
	if m == nil {
		return desk.AskBack(fmt.Sprintf("What does the certificate say, in mg of potassium hydroxide a gram? For example: %s sv 196, or %s sv 194-197", name, name)), nil
	}
	own := storage.OwnFat{Name: name}
	own.Low, _ = strconv.ParseFloat(m[1], 64)
	own.High = own.Low + ownWidth
	if m[2] != "" {
		own.High, _ = strconv.ParseFloat(m[2], 64)
	} else {
		own.Low -= ownWidth
	}
	own.Typical = (own.Low + own.High) / 2
	if reply, doubtful := doubtfulSV(req, f, known, own); doubtful {
		return reply, nil
	}
	if err := req.Record(storage.Entry{Kind: "fat", Text: fmt.Sprintf("%s: saponification value %.4g to %.4g mg/g by our own figure", name, own.Low, own.High)}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.SetOwnFat(req.House.ID, own); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s: %.4g to %.4g mg/g from now on.", desk.Upper(name), own.Low, own.High))
	if known {
		out.Lines = []string{fmt.Sprintf("The table has %.4g to %.4g, typically %.4g.", f.Min, f.Max, f.Typical)}
	}
	if m[2] == "" {
		out.Assumed = []string{"2 mg/g either side for the sample and the lot (common practice)"}
	}
	out.Cautions = []string{"It holds for that lot only: set it anew with the next one, or go back: " + name + " sv as in the table"}
	return out, nil
}

func backToTable(req *desk.Request, name string, known bool) (desk.Reply, error) {
	if !known {
		return desk.AskBack(fmt.Sprintf("%s is not in the table: it has your own figure only.", desk.Upper(name))), nil
	}
	if err := req.Record(storage.Entry{Kind: "fat", Text: name + ": saponification value as in the table"}); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(fmt.Sprintf("%s: as in the table again.", desk.Upper(name))), req.Tx.SetOwnFat(req.House.ID, storage.OwnFat{Name: name})
}

// svFat is the fat before the word: one of the table, or a new name.
func svFat(req *desk.Request) (string, desk.Reply, bool) {
	at := svWord.FindStringIndex(req.Text)
	before := strings.ToLower(strings.TrimSpace(req.Text[:at[0]]))
	for _, word := range []string{"/lye", "lye", "set", "our", "my", "the", "fat", "new"} {
		if rest, ok := strings.CutPrefix(before, word+" "); ok {
			before = rest
		}
	}
	before = strings.TrimSuffix(strings.TrimSuffix(before, " has an"), " has")
	if !nameWord.MatchString(before) {
		return "", desk.AskBack("Which fat? For example: lard sv 196"), false
	}
	if name, ok := fatList().Exact(before); ok {
		return name, desk.Reply{}, true
	}
	if reserved(before) {
		return "", desk.Refuse(fmt.Sprintf("%s cannot be the name of a fat: it is or holds a word that means something else in a recipe.", desk.Quote(before))), false
	}
	for _, s := range req.Reading.Terms("fats") {
		if t := s.Value.(phrase.Term); s.Start < at[0] && !strings.EqualFold(t.Name, before) {
			return "", desk.AskBack(fmt.Sprintf("Which fat is %s? Name it as in the table, for example %s, or by a name of its own.", desk.Quote(before), t.Name)), false
		}
	}
	return before, desk.Reply{}, true
}

// reserved reports a name that is, or holds, a word of the desk's own: water, lye,
// an acid, a liquid, an additive, a setting. Oil and butter are no such words.
func reserved(name string) bool {
	toks := phrase.Tokens(name)
	r := phrase.Read(name, toks, phrase.Context{}, phrase.Query{Lists: []*phrase.List{settingList(), extraList()}})
	return slices.ContainsFunc(r.Spans, func(s phrase.Span) bool {
		t := s.Value.(phrase.Term)
		whole := s.First == 0 && s.Past == len(toks)
		return whole || t.Name != wordFat && t.Match != phrase.Slip
	})
}

// doubtfulSV asks about a figure that may be of another kind, or that is outside
// what the fat can have.
func doubtfulSV(req *desk.Request, f lye.Fat, known bool, own storage.OwnFat) (desk.Reply, bool) {
	mid := own.Typical
	switch {
	case own.High < own.Low:
		return desk.AskBack("The lower figure first, please."), true
	case mid < 2:
		return desk.AskBack("That looks like grams of lye a gram of fat. The certificate's saponification value is in mg of potassium hydroxide a gram, about 190 for most fats."), true
	case mid < 60 || mid > 400:
		return desk.Refuse(fmt.Sprintf("A saponification value of %.4g cannot be: fats have 85 to 360 mg of potassium hydroxide a gram.", mid)), true
	case known && (own.High > 1.1*f.Max || own.Low < 0.9*f.Min):
		return desk.Refuse(fmt.Sprintf("That is not %s: its natural range is %.4g to %.4g mg of potassium hydroxide a gram. If it is another fat, give it a name of its own.", f.Name, f.Min, f.Max)), true
	case strings.Contains(strings.ToLower(req.Text), "confirmed"):
		return desk.Reply{}, false
	case known && (own.Low < f.Min-ownWidth || own.High > f.Max+ownWidth):
		return desk.AskBack(fmt.Sprintf("The natural range of %s is %.4g to %.4g. Is %.4g to %.4g right, in mg of potassium hydroxide (not sodium hydroxide) a gram?", f.Name, f.Min, f.Max, own.Low, own.High),
			desk.Labelled("It is right", strings.TrimSpace(req.Text)+" confirmed")), true
	}
	return desk.Reply{}, false
}
