package phrase

import (
	"regexp"
	"sync"
)

// Pattern is a regular expression that is compiled when it is first used, so that
// the program's start does not pay for what the first line does not need.
type Pattern struct {
	text string
	once sync.Once
	re   *regexp.Regexp
}

var patterns []*Pattern

// NewPattern keeps an expression in Go's syntax. It is to be called while packages
// initialize; one that does not compile panics at its first use, and a test compiles
// them all.
func NewPattern(text string) *Pattern {
	p := &Pattern{text: text}
	patterns = append(patterns, p)
	return p
}

// Patterns returns every pattern, for the test that compiles them.
func Patterns() []*Pattern { return patterns }

// Re returns the compiled expression.
func (p *Pattern) Re() *regexp.Regexp {
	p.once.Do(func() { p.re = regexp.MustCompile(p.text) })
	return p.re
}

// MatchString reports whether the expression occurs in s.
func (p *Pattern) MatchString(s string) bool { return p.Re().MatchString(s) }

// FindString returns the first occurrence, empty without one.
func (p *Pattern) FindString(s string) string { return p.Re().FindString(s) }

// FindStringIndex returns where the first occurrence lies, nil without one.
func (p *Pattern) FindStringIndex(s string) []int { return p.Re().FindStringIndex(s) }

// FindStringSubmatch returns the first occurrence and its groups, nil without one.
func (p *Pattern) FindStringSubmatch(s string) []string { return p.Re().FindStringSubmatch(s) }

// ReplaceAllString replaces every occurrence; $1 in with is a group.
func (p *Pattern) ReplaceAllString(s, with string) string { return p.Re().ReplaceAllString(s, with) }
