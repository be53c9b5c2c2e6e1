package phrase

import "math/big"

var smallNumbers = map[string]int64{
	"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
	"nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15,
	"sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}

var tens = map[string]int64{
	"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
	"eighty": 80, "ninety": 90,
}

var parts = map[string]*big.Rat{
	"half": big.NewRat(1, 2), "third": big.NewRat(1, 3), "thirds": big.NewRat(1, 3), "quarter": big.NewRat(1, 4),
	"quarters": big.NewRat(1, 4), "eighth": big.NewRat(1, 8), "eighths": big.NewRat(1, 8),
}

// line is the token slice with the look-ups that every reader needs.
type line struct {
	text  string
	toks  []Token
	ctx   Context
	says  []bool // the tokens that are words and no fillers
	kinds [KindBad + 1]sought
	terms map[*List]sought
}

func (l *line) low(i int) string {
	if i < 0 || i >= len(l.toks) {
		return ""
	}
	return l.toks[i].Low
}

func (l *line) isNum(i int) bool  { return i >= 0 && i < len(l.toks) && l.toks[i].Kind == Num }
func (l *line) isWord(i int) bool { return i >= 0 && i < len(l.toks) && l.toks[i].Kind == Word }
func (l *line) glued(i int) bool  { return i >= 0 && i < len(l.toks) && l.toks[i].Glued }

// words reports whether the tokens at i are exactly these, and where they end.
func (l *line) words(i int, want ...string) (int, bool) {
	for _, w := range want {
		if l.low(i) != w {
			return i, false
		}
		i++
	}
	return i, true
}

// number reads an amount in figures or words: 1200, -5, 1 1/2, 1½, 3/8, two and
// a half, nine hundred, half a, a dozen. It returns the token after it.
func (l *line) number(i int) (*big.Rat, int, bool) {
	if l.low(i) == "minus" {
		if v, next, ok := l.number(i + 1); ok {
			return new(big.Rat).Neg(v), next, true
		}
	}
	if l.low(i) == "-" && l.isNum(i+1) && l.glued(i+1) && !l.glued(i) {
		v, next, ok := l.number(i + 1)
		if !ok {
			return nil, i, false
		}
		return new(big.Rat).Neg(v), next, true
	}
	v, next, ok := l.figures(i)
	if !ok {
		v, next, ok = l.spelled(i)
	}
	if !ok {
		return nil, i, false
	}
	v, next = l.andPart(v, next)
	if w := l.low(next); w == "dozen" {
		v, next = new(big.Rat).Mul(v, big.NewRat(12, 1)), next+1
	}
	return v, next, true
}

// figures reads digits, a fraction, or a whole number with a fraction.
func (l *line) figures(i int) (*big.Rat, int, bool) {
	if !l.isNum(i) {
		return nil, i, false
	}
	v := l.toks[i].Value
	if f, next, ok := l.fraction(i); ok {
		return f, next, true
	}
	if v.IsInt() {
		if f, next, ok := l.fraction(i + 1); ok && !l.glued(i+1) && f.Cmp(big.NewRat(1, 1)) < 0 {
			return new(big.Rat).Add(v, f), next, true
		}
		if l.isNum(i+1) && fractions[[]rune(l.toks[i+1].Text)[0]] != nil {
			return new(big.Rat).Add(v, l.toks[i+1].Value), i + 2, true
		}
	}
	return v, i + 1, true
}

// fraction reads "3/8".
func (l *line) fraction(i int) (*big.Rat, int, bool) {
	if !l.isNum(i) || l.low(i+1) != "/" || !l.glued(i+1) || !l.isNum(i+2) || !l.glued(i+2) || l.low(i+3) == "/" {
		return nil, i, false
	}
	d := l.toks[i+2].Value
	if d.Sign() == 0 || !d.IsInt() || !l.toks[i].Value.IsInt() {
		return nil, i, false
	}
	return new(big.Rat).Quo(l.toks[i].Value, d), i + 3, true
}

// spelled reads number words up to the thousands.
func (l *line) spelled(i int) (*big.Rat, int, bool) {
	for _, said := range [][]string{{"half", "a", "dozen"}, {"half", "dozen"}, {"a", "half", "dozen"}} {
		if next, ok := l.words(i, said...); ok {
			return big.NewRat(6, 1), next, true
		}
	}
	if f, next, ok := l.spelledPart(i); ok {
		return f, next, true
	}
	if w := l.low(i); (w == "a" || w == "an") && (l.low(i+1) == "dozen" || l.low(i+1) == "hundred" || l.low(i+1) == "thousand") {
		i++
		if l.low(i) == "dozen" {
			return big.NewRat(12, 1), i + 1, true
		}
	}
	if next, ok := l.words(i, "a", "couple", "of"); ok {
		return big.NewRat(2, 1), next, true
	}
	if w := l.low(i); w == "couple" {
		return big.NewRat(2, 1), i + 1, true
	}
	total, group, next, seen := int64(0), int64(0), i, false
	for {
		w := l.low(next)
		switch {
		case w == "and" && seen && l.numberWord(next+1) && (l.low(next-1) == "hundred" || l.low(next-1) == "thousand"):
			next++
			continue
		case w == "hundred":
			group = max(group, 1) * 100
		case w == "thousand":
			total, group = total+max(group, 1)*1000, 0
		default:
			n, ok := l.unitsOrTens(next, group)
			if !ok {
				if !seen {
					return nil, i, false
				}
				return l.point(new(big.Rat).SetInt64(total+group), next)
			}
			group += n
		}
		if total+group > 1e9 {
			return nil, i, false
		}
		seen = true
		next++
	}
}

func (l *line) numberWord(i int) bool {
	_, small := smallNumbers[l.low(i)]
	_, ten := tens[l.low(i)]
	return small || ten
}

// unitsOrTens reads one number word that may follow what the group holds.
func (l *line) unitsOrTens(i int, group int64) (int64, bool) {
	if n, ok := tens[l.low(i)]; ok && group%100 == 0 {
		return n, true
	}
	n, ok := smallNumbers[l.low(i)]
	if !ok {
		return 0, false
	}
	afterTens := group%100 >= 20 && group%10 == 0 && n > 0 && n < 10
	return n, group%100 == 0 || afterTens
}

// point reads "point five" after a spelled number.
func (l *line) point(v *big.Rat, i int) (*big.Rat, int, bool) {
	if l.low(i) != "point" {
		return v, i, true
	}
	scale := big.NewRat(1, 10)
	next := i + 1
	for n, ok := smallNumbers[l.low(next)]; ok && n < 10; n, ok = smallNumbers[l.low(next)] {
		v = new(big.Rat).Add(v, new(big.Rat).Mul(scale, new(big.Rat).SetInt64(n)))
		scale = new(big.Rat).Quo(scale, big.NewRat(10, 1))
		next++
	}
	if next == i+1 {
		return v, i, true
	}
	return v, next, true
}

// spelledPart reads half, a half, three quarters.
func (l *line) spelledPart(i int) (*big.Rat, int, bool) {
	if p := parts[l.low(i)]; p != nil && l.low(i) != "third" && l.low(i) != "thirds" {
		return p, i + 1, true
	}
	if w := l.low(i); w == "a" || w == "an" || w == "one" {
		if p := parts[l.low(i+1)]; p != nil {
			return p, i + 2, true
		}
	}
	if n, ok := smallNumbers[l.low(i)]; ok && n > 0 {
		if p := parts[l.low(i+1)]; p != nil && n > 1 {
			return new(big.Rat).Mul(p, big.NewRat(n, 1)), i + 2, true
		}
	}
	return nil, i, false
}

// andPart adds "and a half" or "and three quarters" to a whole number.
func (l *line) andPart(v *big.Rat, i int) (*big.Rat, int) {
	if l.low(i) != "and" || !v.IsInt() {
		return v, i
	}
	if p, next, ok := l.spelledPart(i + 1); ok && p.Cmp(big.NewRat(1, 1)) < 0 {
		return new(big.Rat).Add(v, p), next
	}
	if p, next, ok := l.fraction(i + 1); ok && p.Cmp(big.NewRat(1, 1)) < 0 {
		return new(big.Rat).Add(v, p), next
	}
	return v, i
}

// wholeNumber reads a number and returns it as an int when it is one.
func (l *line) wholeNumber(i int) (int, int, bool) {
	v, next, ok := l.number(i)
	if !ok || !v.IsInt() || !v.Num().IsInt64() || v.Num().Int64() > 1e9 || v.Num().Int64() < -1e9 {
		return 0, i, false
	}
	return int(v.Num().Int64()), next, true
}

// IsNumber reports a word that is a number by itself: 5, five.
func IsNumber(w string) bool {
	_, small := smallNumbers[w]
	_, ten := tens[w]
	return small || ten || w != "" && isDigits(w)
}
