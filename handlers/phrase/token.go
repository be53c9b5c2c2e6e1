package phrase

import (
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// TokenKind says what a token is made of.
type TokenKind uint8

// The kinds of token. A break is the end of a line of several.
const (
	Word TokenKind = iota + 1
	Num
	Mark
	Break
)

// Token is a word, a number or a mark, with its place in the text in bytes.
type Token struct {
	Kind       TokenKind
	Text       string // as typed
	Low        string // lower case, curly quotes made straight
	Start, End int
	Glued      bool     // no space before it
	Joined     bool     // a hyphen joins it to the word before
	Value      *big.Rat // of a Num
}

// MaxTokens bounds the work on one line; what follows is not read.
const MaxTokens = 2000

const maxDigits = 18

// fractions are the vulgar fractions of Unicode.
var fractions = map[rune]*big.Rat{
	'½': big.NewRat(1, 2), '⅓': big.NewRat(1, 3), '⅔': big.NewRat(2, 3), '¼': big.NewRat(1, 4),
	'¾': big.NewRat(3, 4), '⅕': big.NewRat(1, 5), '⅖': big.NewRat(2, 5), '⅗': big.NewRat(3, 5),
	'⅘': big.NewRat(4, 5), '⅙': big.NewRat(1, 6), '⅚': big.NewRat(5, 6), '⅛': big.NewRat(1, 8),
	'⅜': big.NewRat(3, 8), '⅝': big.NewRat(5, 8), '⅞': big.NewRat(7, 8),
}

// marks are the signs that can mean something; any other sign is passed over.
const marks = `%/:-,.?!@°#&+=*()"`

// Tokens cuts text up. It accepts any bytes.
func Tokens(text string) []Token {
	var toks []Token
	glued := false
	for i := 0; i < len(text) && len(toks) < MaxTokens; {
		r, size := utf8.DecodeRuneInString(text[i:])
		t, ok := tokenAt(text, i, r, size)
		if !ok {
			glued = glued && !unicode.IsSpace(r)
			i += size
			continue
		}
		t.Start, t.Glued = i, glued
		t.Joined = t.Kind == Word && i > 0 && glued && hyphenBefore(text, i)
		toks = append(toks, t)
		i, glued = t.End, t.Kind != Break
	}
	return toks
}

func tokenAt(text string, i int, r rune, size int) (Token, bool) {
	switch {
	case r == '\n':
		return Token{Kind: Break, Text: "\n", Low: "\n", End: i + 1}, true
	case r >= '0' && r <= '9', r == '.' && digits(text, i+1) > i+1 && !wordBefore(text, i):
		return number(text, i), true
	case fractions[r] != nil:
		return Token{Kind: Num, Text: string(r), Low: string(r), End: i + size, Value: fractions[r]}, true
	case unicode.IsLetter(r):
		return word(text, i), true
	case r == '–' || r == '—' || r == '−':
		if hyphenated(text, i, size) {
			return Token{}, false
		}
		return Token{Kind: Mark, Text: string(r), Low: "-", End: i + size}, true
	case r == '×':
		return Token{Kind: Word, Text: "×", Low: "x", End: i + size}, true
	case strings.ContainsRune(marks, r):
		if r == '-' && hyphenated(text, i, size) {
			return Token{}, false
		}
		return Token{Kind: Mark, Text: string(r), Low: string(r), End: i + size}, true
	}
	return Token{}, false
}

// hyphenated reports a dash between two letters, which only joins words.
func hyphenated(text string, i, size int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:i])
	after, _ := utf8.DecodeRuneInString(text[i+size:])
	return unicode.IsLetter(before) && unicode.IsLetter(after)
}

func hyphenBefore(text string, i int) bool {
	r, size := utf8.DecodeLastRuneInString(text[:i])
	return strings.ContainsRune("-–—−", r) && hyphenated(text, i-size, size)
}

func word(text string, i int) Token {
	end := i
	for end < len(text) {
		r, size := utf8.DecodeRuneInString(text[end:])
		inner := (r == '\'' || r == '’') && end > i
		if !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) && !inner {
			break
		}
		if inner {
			next, _ := utf8.DecodeRuneInString(text[end+size:])
			if !unicode.IsLetter(next) {
				break
			}
		}
		end += size
	}
	s := text[i:end]
	return Token{Kind: Word, Text: s, Low: strings.ReplaceAll(strings.ToLower(s), "’", "'"), End: end}
}

// number reads digits with thousands commas, a decimal point or comma, and an
// exponent. A comma followed by exactly three digits parts thousands.
func number(text string, i int) Token {
	end := digits(text, i)
	plain := text[i:end]
	if plain == "" { // .5
		plain = "0"
	}
	for thousands(text, end) && len(plain) <= maxDigits && plain[0] != '0' {
		plain += text[end+1 : end+4]
		end += 4
	}
	if n := digits(text, end+1); end < len(text) && text[end] == ',' && n > end+4 && len(plain) <= 3 {
		return Token{Kind: Word, Text: text[i:n], Low: text[i:n], End: n} // 1,5000: a slip, and no telling which
	} else if end < len(text) && n > end+1 && (text[end] == '.' || text[end] == ',') {
		plain += "." + text[end+1:n]
		end = n
	}
	if end < len(text) && text[end] == 'e' {
		if n := digits(text, end+1); n > end+1 && n <= end+3 {
			plain += text[end:n]
			end = n
		}
	}
	v := new(big.Rat)
	if len(plain) > maxDigits+6 {
		plain = "1e18"
	}
	if _, ok := v.SetString(plain); !ok {
		v.SetInt64(0)
	}
	return Token{Kind: Num, Text: text[i:end], Low: text[i:end], End: end, Value: v}
}

// wordBefore reports a letter or a figure right before i.
func wordBefore(text string, i int) bool {
	r, _ := utf8.DecodeLastRuneInString(text[:i])
	return unicode.IsLetter(r) || unicode.IsDigit(r)
}

func thousands(text string, i int) bool {
	return i < len(text) && text[i] == ',' && digits(text, i+1) == i+4
}

// digits returns the end of the run of digits at i.
func digits(text string, i int) int {
	for i < len(text) && text[i] >= '0' && text[i] <= '9' {
		i++
	}
	return i
}
