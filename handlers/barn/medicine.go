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
	"yardbell/storage"
)

// medicines are words for what is given as a medicine. With "how much" they ask for a
// dose, which is never told.
const medicines = "ivermectin|penicillin|wormer|oxytetracycline|oxytet|tetracycline|doxycycline|antibiotic|antibiotics|flubendazole|fenbendazole|albendazole|levamisole|moxidectin|doramectin|eprinomectin|closantel|amoxicillin|ampicillin|enrofloxacin|baytril|ceftiofur|florfenicol|tilmicosin|amprolium|toltrazuril|coccidiostat|" +
	"permethrin|deltamethrin|medicine|medication|meds|drench|paracetamol|ibuprofen|aspirin|meloxicam|ketoprofen|flunixin|bute|steroid|steroids|dexamethasone|oxytocin|painkiller|painkillers|iron|tylosin|vaccine|copper|selenium|bolus|wormers|dewormer|injection|injections|jab|jabs|tablet|tablets"

// endings are those of the names of medicines: amoxicillin, erythromycin, oxfendazole.
var endings = []string{"cillin", "mycin", "micin", "floxacin", "cycline", "mectin", "dazole", "misole", "thrin"}

// mostProductWords is how many words of a line may be the name of a product that
// nobody here knows.
const mostProductWords = 4

// isMedicine reports the name of a medicine.
func isMedicine(w string) bool {
	return slices.Contains(strings.Split(medicines, "|"), w) || len(w) > 7 && slices.ContainsFunc(endings, func(end string) bool { return strings.HasSuffix(w, end) })
}

// doseUnits are what medicines are measured in, and feed is not.
var doseUnits = []string{"ml", "cc", "mg", "iu", "dose", "doses", "shot", "squirt"}

// gaveMedicine tells "gave Nettle penicillin" from "gave Nettle a carrot" and from "gave
// Ruth the wormer": an animal got it, and it is called a medicine, is measured as one or
// has the times of a label.
func gaveMedicine(req *desk.Request) bool {
	toks := req.Reading.Tokens
	if _, _, ok := gavePlace(req); !ok {
		return false
	}
	if slices.ContainsFunc(toks, func(t phrase.Token) bool { return isMedicine(t.Low) || slices.Contains(doseUnits, t.Low) }) {
		return true
	}
	by := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "gave" })
	return word(req, by-1) == "vet" || len(req.Reading.Of(phrase.KindDuration)) > 0 && hasWord(req, "milk", "meat", "eggs", "egg", "withdrawal")
}

// gavePlace is where in a line the words of the product stand: "gave Nettle ..." and
// "gave ... to Nettle". Ok is false where nobody gave it to an animal.
func gavePlace(req *desk.Request) (first, past int, ok bool) {
	toks := req.Reading.Tokens
	gave := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "gave" || t.Low == "given" })
	if gave < 0 {
		return 0, 0, false
	}
	for _, s := range animalTerms(req) {
		between := toks[min(gave+1, s.First):s.First]
		direct := !slices.ContainsFunc(between, func(t phrase.Token) bool {
			return !slices.Contains([]string{"the", "our", "my", "all", "both", "of"}, t.Low)
		})
		to := s.First - 1
		for to > gave && slices.Contains([]string{"the", "our", "my", "all", "both"}, word(req, to)) {
			to--
		}
		switch {
		case s.First > gave && direct:
			return s.Past, productEnd(req, s.Past), true
		case s.First > gave && word(req, to) == "to":
			return gave + 1, to, true
		case s.Past <= gave && word(req, gave) == "given": // Nettle was given
			return gave + 1, productEnd(req, gave+1), true
		}
	}
	return 0, 0, false
}

// productEnd is where the words of a product end: at a comma, a product that is held
// back, a day or a time.
func productEnd(req *desk.Request, first int) int {
	toks := req.Reading.Tokens
	end := first
	for end < len(toks) && toks[end].Low != "," && products[toks[end].Low] == 0 && toks[end].Low != "milk" && toks[end].Low != "not" && !slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
		return s.First == end && (slices.Contains(dayed, s.Kind) || s.Kind == phrase.KindDuration)
	}) {
		end++
	}
	return end
}

// whatGiven is the product as it was typed, or the work.
func whatGiven(req *desk.Request) string {
	toks := req.Reading.Tokens
	first, past := 0, 0
	if i := slices.IndexFunc(toks, func(t phrase.Token) bool { return t.Low == "with" }); i >= 0 {
		first, past = i+1, productEnd(req, i+1)
	} else if f, p, ok := gavePlace(req); ok {
		first, past = f, p
	}
	for first < past && slices.Contains([]string{"a", "an", "the", "some", "her", "his", "their"}, word(req, first)) {
		first++
	}
	if past > first {
		return strings.Join(strings.Fields(req.Text[toks[first].Start:toks[past-1].End]), " ")
	}
	for _, t := range toks {
		if slices.Contains(strings.Split(treatedWords, "|"), t.Low) && t.Low != "treated" || isMedicine(t.Low) || t.Low == "powder" {
			return t.Low
		}
	}
	return "treated"
}

// Words of a treatment that say how it was given and not what.
var (
	unnamed = []string{"treated", "medicated", "dosed", "medicine", "medication", "meds", "dose"}
	jabbed  = []string{"injected", "jabbed", "injection", "injections", "jab", "jabs", "shot"}
	forWorm = []string{"wormed", "dewormed", "drenched", "wormer", "dewormer", "drench", "vaccinated", "vaccine", "deloused", "dipped", "powder"}
)

// mayBeSame reports that two tellings may be of one treatment: the same product, or one of
// them does not name it. Worming is never an antibiotic.
func mayBeSame(a, b string) bool {
	a, b = strings.ToLower(a), strings.ToLower(b)
	switch {
	case strings.Contains(a, b) || strings.Contains(b, a) || slices.Contains(unnamed, a) || slices.Contains(unnamed, b):
		return true
	case slices.Contains(forWorm, a) || slices.Contains(forWorm, b):
		return slices.Contains(forWorm[:6], a) && slices.Contains(forWorm[:6], b)
	}
	return slices.Contains(jabbed, a) || slices.Contains(jabbed, b)
}

// fills reports that a label told now says what was left open, and nothing else than what
// was told.
func fills(old, now storage.Treatment) bool {
	more := false
	for _, v := range [][2]sql.NullFloat64{{old.EggDays, now.EggDays}, {old.MilkHours, now.MilkHours}, {old.MeatDays, now.MeatDays}} {
		if v[0].Valid && v[1].Valid && v[0] != v[1] {
			return false
		}
		more = more || !v[0].Valid && v[1].Valid
	}
	return more
}

// toldAgain is how far apart two tellings may be of the same dose.
const toldAgain = 2 * time.Hour

// addDose writes a dose down. One of the same product that was told before without its
// label gets the label told now; told again within two hours, it is the same dose.
func addDose(req *desk.Request, t storage.Treatment) (string, error) {
	all, err := req.Tx.Treatments(req.House.ID)
	if err != nil {
		return "", err
	}
	line := ""
	for _, old := range slices.Backward(all) {
		if old.Kind != t.Kind || old.Herd != t.Herd || old.Name != t.Name || !mayBeSame(old.What, t.What) || !fills(old, t) || t.At.Sub(old.At).Abs() > labelWithin {
			continue
		}
		again := t.At.Sub(old.At).Abs() <= toldAgain
		if !again && !strings.EqualFold(old.What, t.What) {
			continue
		}
		for _, v := range []struct{ from, to *sql.NullFloat64 }{{&t.EggDays, &old.EggDays}, {&t.MilkHours, &old.MilkHours}, {&t.MeatDays, &old.MeatDays}} {
			if v.from.Valid {
				*v.to = *v.from
			}
		}
		line = fmt.Sprintf("The label counts for the dose of %s, too.", req.Say(old.At))
		if again {
			line = fmt.Sprintf("Taken as the one told before (%s, %s), with its label.", old.What, req.WallOf(old.At).Format("15:04"))
			if slices.Contains(slices.Concat(unnamed, jabbed), strings.ToLower(old.What)) {
				old.What = t.What
			}
		}
		if err := req.Tx.SaveTreatment(old); err != nil || again {
			return line, err
		}
	}
	_, err = req.Tx.AddTreatment(req.House.ID, t)
	return line, err
}

// labelWithin is how far back doses of a product get the label that is told with a later one.
const labelWithin = 14 * 24 * time.Hour

// milkNo asks what "milk no" of a label is: nothing to wait for, or not for milk at all.
func milkNo(req *desk.Request, l label) desk.Reply {
	for i, t := range req.Reading.Tokens {
		p, is := products[t.Low]
		if !is || word(req, i+1) != "no" || p != growth.Milk && p != growth.Eggs {
			continue
		}
		rest := ""
		if l.meat.Valid {
			rest = fmt.Sprintf(", meat %.4g days", l.meat.Float64)
		}
		said := func(what string) string {
			if len(animalTerms(req)) == 0 {
				return fmt.Sprintf("label says %s %s%s", t.Low, what, rest)
			}
			after := req.Reading.Tokens[i+1]
			return req.Text[:after.Start] + what + req.Text[after.End:]
		}
		return desk.AskBack(fmt.Sprintf("%s no: nothing to wait for, or not for animals that give %s?", desk.Upper(t.Low), t.Low),
			desk.Labelled("Nothing to wait for", said("nil")), desk.Labelled("Not for "+t.Low, said("never")))
	}
	return desk.Reply{}
}
