package day

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// span is a stretch of the day as a line tells it. Why is set where it cannot be one.
type span struct {
	first, past storage.Minutes
	said        bool
	why         string
	rest        string // the line without it
}

// Times of the day as they are typed; words are made figures before (figures).
var (
	fromTo  = phrase.NewPattern(`(?i)\b(?:from\s+|between\s+|at\s+)?(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?\s*(?:-|–|to|until|till|and)\s*(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?\b`)
	oneTime = phrase.NewPattern(`(?i)\b(?:at|to|from)\s+(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm|o'clock)?\b`)
	halfTo  = phrase.NewPattern(`(?i)\b(half past|quarter past|quarter to)\s+(\d{1,2})\b`)
)

// hours in words, as dictation gives them.
var hours = map[string]string{
	"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9", "ten": "10", "eleven": "11", "twelve": "12", "noon": "12:00", "midday": "12:00", "midnight": "0:00",
}

// figures writes times in words as figures: half past seven to eight becomes 7:30 to 8.
func figures(text string) string {
	words := strings.Fields(text)
	for i, w := range words {
		if n := hours[strings.ToLower(strings.Trim(w, ",."))]; n != "" {
			words[i] = n
		}
	}
	text = strings.Join(words, " ")
	for m := halfTo.FindStringSubmatch(text); m != nil; m = halfTo.FindStringSubmatch(text) {
		h, _ := strconv.Atoi(m[2]) // two digits
		at := fmt.Sprintf("%d:30", h)
		switch strings.ToLower(m[1]) {
		case "quarter past":
			at = fmt.Sprintf("%d:15", h)
		case "quarter to":
			at = fmt.Sprintf("%d:45", h-1)
		}
		text = strings.Replace(text, m[0], at, 1)
	}
	return text
}

// late are blocks that are after noon when nobody says so.
var late = []string{"supper", "dinner", "tea", "evening", "bed", "bedtime"}

// spanOf reads from when until when. What is said without am or pm is on the 24-hour
// clock, but one to five are after noon, and so is supper.
func spanOf(text string) span {
	text = figures(text)
	m := fromTo.FindStringSubmatch(text)
	if m == nil {
		return span{rest: text}
	}
	s := span{said: true, rest: strings.Replace(text, m[0], " ", 1)}
	evening := slices.ContainsFunc(phrase.Words(text), func(w string) bool { return slices.Contains(late, w) })
	firstHalf := strings.ToLower(m[3])
	if firstHalf == "" {
		firstHalf = strings.ToLower(m[6])
	}
	first, ok := minutes(m[1], m[2], firstHalf, evening)
	past, ok2 := minutes(m[4], m[5], strings.ToLower(m[6]), false)
	if !ok || !ok2 {
		s.why = fmt.Sprintf("%s is no time of the day.", strings.TrimSpace(m[0]))
		return s
	}
	if m[3] == "" && m[6] != "" && first >= past { // 9-1pm begins in the morning
		first, _ = minutes(m[1], m[2], "", false)
	}
	if asTyped, _ := minutes(m[1], m[2], firstHalf, false); evening && asTyped < first && past < first && past > 12*60 && asTyped < past { // supper 9:00-12:30
		first = asTyped
	}
	if past <= first && past < 12*60 && m[6] == "" && past+12*60 > first {
		past += 12 * 60
	}
	if m[6] == "" && strings.HasPrefix(m[1], "0") && past-12*60 > first { // 00:30-3:30 is before noon
		past -= 12 * 60
	}
	if past == 24*60 || past == 12*60 && first > past && m[6] == "" { // 8-12 in the evening
		past = 0
	}
	s.first, s.past = first, past
	if first == past {
		s.why = "It ends when it begins."
	}
	return s
}

// timeOf reads one time, "at 7", "to 14:00".
func timeOf(text string, evening bool) (at storage.Minutes, rest string, ok bool) {
	text = figures(text)
	m := oneTime.FindStringSubmatch(text)
	if m == nil {
		return 0, text, false
	}
	at, ok = minutes(m[1], m[2], strings.TrimSuffix(strings.ToLower(m[3]), "o'clock"), evening)
	return at, strings.Replace(text, m[0], " ", 1), ok
}

func minutes(hour, minute, half string, evening bool) (storage.Minutes, bool) {
	h, err := strconv.Atoi(hour)
	m := 0
	if minute != "" && err == nil {
		m, err = strconv.Atoi(minute)
	}
	switch {
	case err != nil || h > 24 || m > 59 || h == 24 && m > 0 || half != "" && (h == 0 || h > 12):
		return 0, false
	case half == "am":
		h %= 12
	case half == "pm":
		h = h%12 + 12
	case evening && h > 0 && h < 12, h > 0 && h < 6 && len(hour) == 1:
		h += 12
	}
	return storage.Minutes(h*60 + m), true
}

// dayNames are the days of the week as they are typed.
var dayNames = map[string]storage.Weekdays{
	"weekdays": storage.Working, "weekday": storage.Working, "daily": storage.EveryDay, "everyday": storage.EveryDay,
	"weekend": storage.EveryDay &^ storage.Working, "weekends": storage.EveryDay &^ storage.Working,
}

// weekdayOf reads one day of the week.
func weekdayOf(w string) (time.Weekday, bool) {
	for d := time.Sunday; d <= time.Saturday; d++ {
		name := strings.ToLower(d.String())
		if len(w) >= 3 && (strings.HasPrefix(name, w) || strings.TrimSuffix(w, "s") == name || w == name[:3]+"s" || w == "thurs" && d == time.Thursday) {
			return d, true
		}
	}
	return 0, false
}

// weekdaysIn reads on which days of the week, and returns the line without them; zero
// when none is said.
func weekdaysIn(text string) (storage.Weekdays, string) {
	var out storage.Weekdays
	var rest []string
	words := strings.Fields(strings.NewReplacer("mon-", "mon - ", "tue-", "tue - ", "wed-", "wed - ", "thu-", "thu - ", "-fri", " - fri", "-thu", " - thu", "-sat", " - sat", "-sun", " - sun", ",", " , ").Replace(text))
	for i := 0; i < len(words); i++ {
		w := strings.Trim(strings.ToLower(words[i]), ",.")
		if set, ok := dayNames[w]; ok {
			out |= set
			continue
		}
		if w == "every" && i+1 < len(words) && strings.EqualFold(words[i+1], "day") {
			out, i = storage.EveryDay, i+1
			continue
		}
		from, ok := weekdayOf(w)
		if !ok {
			rest = append(rest, words[i])
			continue
		}
		out |= 1 << from
		if i+2 < len(words) && slices.Contains([]string{"-", "to", "–"}, words[i+1]) {
			if to, ok := weekdayOf(strings.ToLower(words[i+2])); ok {
				for d := from; d != to; d = (d + 1) % 7 {
					out |= 1 << d
				}
				out |= 1 << to
				i += 2
			}
		}
	}
	return out, strings.Join(rest, " ")
}

// sayWeekdays writes days of the week: weekdays, Tue, Mon to Thu, empty for every day.
func sayWeekdays(w storage.Weekdays) string {
	switch w {
	case storage.EveryDay:
		return ""
	case storage.Working:
		return "weekdays"
	case storage.EveryDay &^ storage.Working:
		return "weekends"
	}
	var days []string
	unbroken := true
	last := -1
	for i := range 7 {
		d := time.Weekday((i + 1) % 7)
		if !w.Has(d) {
			continue
		}
		unbroken = unbroken && (last < 0 || last == i-1)
		last = i
		days = append(days, d.String()[:3])
	}
	if unbroken && len(days) > 2 {
		return days[0] + " to " + days[len(days)-1]
	}
	return strings.Join(days, ", ")
}
