package handlers

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// A question is answered in the words of its buttons, or in others that mean one of them
// and no other: a length of time for a length of time, "yeah" for yes, "no kids" for the
// button that would add "no children".

var (
	yesWords = []string{"yes", "yeah", "yep", "yup", "sure", "ok", "okay", "aye", "of course", "yes please", "yes they can", "yes they may", "they can", "they may", "yes she is", "yes he is", "yes they are", "she is", "he is", "they are", "thats fine", "that's fine", "fine"}
	noWords  = []string{"no", "nope", "nah", "no thanks", "rather not", "better not", "no they can't", "no they cant", "no they may not", "not near", "no kids near", "no children near", "kids away", "kids elsewhere", "children elsewhere"}
	// sameWord are words that stand for another in an answer.
	sameWord = map[string]string{"kids": "children", "kid": "children", "child": "children", "them": "children", "nearby": "near", "helping": "help", "helps": "help", "without": "no"}
)

// longestAnswer is how many words an answer has that is not the whole line typed anew.
const longestAnswer = 6

// picks finds what an answer says in the end, of an open question.
func picks(req *desk.Request, q storage.Question, text string) (string, bool) {
	words := phrase.Words(text)
	said := strings.Join(words, " ")
	if said == "" {
		return "", false
	}
	bare := strings.TrimPrefix(strings.TrimPrefix(said, "in "), "the ") // in the shed
	for _, o := range q.Options {
		if label := strings.Join(phrase.Words(o.Label), " "); said == label || bare == label {
			return o.Say, true
		}
	}
	if len(words) > longestAnswer || strings.Contains(text, "?") {
		return "", false
	}
	typed := strings.ToLower(strings.Trim(text, " .!"))
	for _, find := range []func(*desk.Request, storage.Question, string) (string, bool){yesOrNo, lengthAnswered, added, completed} {
		if say, ok := find(req, q, typed); ok {
			return say, true
		}
	}
	return "", false
}

// yesOrNo takes other words for yes and no, where the buttons have these, or where the
// question is one of yes or no and has one button.
func yesOrNo(_ *desk.Request, q storage.Question, said string) (string, bool) {
	said = strings.Join(phrase.Words(said), " ")
	for _, o := range q.Options {
		label := strings.ToLower(o.Label)
		one := len(q.Options) == 2 // of two questions at once a bare yes answers neither
		yes := label == "yes" || one && strings.HasPrefix(label, "yes, ")
		no := label == "no" || one && label == "not now"
		if yes && slices.Contains(yesWords, said) || no && slices.Contains(noWords, said) {
			return o.Say, true
		}
	}
	first, _, _ := strings.Cut(q.Asked, " ")
	if len(q.Options) == 1 && slices.Contains([]string{"Is", "Are", "May", "Does", "Do", "Shall"}, first) && slices.Contains(yesWords, said) {
		return q.Options[0].Say, true
	}
	return "", false
}

// lengthAnswered takes another length of time than those of the buttons. A bare number is
// minutes, unless it is so small that it may be hours.
func lengthAnswered(req *desk.Request, q storage.Question, said string) (string, bool) {
	i := slices.IndexFunc(q.Options, func(o storage.Button) bool {
		_, is := lengthOf(req, o.Label)
		return is && strings.HasSuffix(o.Say, o.Label)
	})
	if i < 0 {
		return "", false
	}
	length, is := lengthOf(req, said)
	if !is {
		length, is = lengthOf(req, said+" min")
		is = is && length >= fewMinutes
	}
	if !is {
		return "", false
	}
	o := q.Options[i]
	return strings.TrimSuffix(o.Say, o.Label) + reminders.SayDuration(length), true
}

// fewMinutes is the least that a bare number of minutes is.
const fewMinutes = 5 * time.Minute

// lengthOf reads a text that is a length of time and nothing else.
func lengthOf(req *desk.Request, text string) (time.Duration, bool) {
	toks := phrase.Tokens(text)
	spans := phrase.Read(text, toks, req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindDuration}}).Of(phrase.KindDuration)
	if len(spans) == 0 {
		return 0, false
	}
	var all time.Duration
	for _, s := range spans {
		all += s.Value.(time.Duration)
	}
	for i, t := range toks {
		covered := slices.ContainsFunc(spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if !covered && !slices.Contains([]string{"about", "around", "roughly", "maybe", "and", "or", "so", "it", "takes", "say", "only", "just", "nearly", ",", "."}, t.Low) {
			return 0, false
		}
	}
	return all, all >= time.Minute
}

// added takes words that all stand in what one button would add to the line, and in that of
// no other.
func added(req *desk.Request, q storage.Question, said string) (string, bool) {
	if len(q.Options) < 2 || said == "help" {
		return "", false
	}
	begun := q.Options[0].Say
	for _, o := range q.Options[1:] {
		for !strings.HasPrefix(o.Say, begun) {
			begun = begun[:len(begun)-1]
		}
	}
	if !strings.Contains(begun, ",") { // other lines, and none that goes on
		return "", false
	}
	begun = begun[:strings.LastIndex(begun, ",")]
	found := ""
	for _, o := range q.Options {
		adds := plainWords(req, strings.TrimPrefix(o.Say, begun))
		if slices.ContainsFunc(plainWords(req, said), func(w string) bool { return !slices.Contains(adds, w) }) {
			continue
		}
		if found != "" {
			return "", false
		}
		found = o.Say
	}
	return found, found != ""
}

// plainWords are the words of an answer, children by whatever word or name.
func plainWords(req *desk.Request, text string) []string {
	words := phrase.Words(text)
	for i, w := range words {
		if p, known := req.Person(w); known && p.Child(req.Now) {
			words[i] = "children"
		} else if same := sameWord[w]; same != "" {
			words[i] = same
		}
	}
	return words
}

// completed takes days or hours for a question that asks from when until when.
func completed(req *desk.Request, q storage.Question, said string) (string, bool) {
	if q.Begun == "" {
		return "", false
	}
	toks := phrase.Tokens(said)
	kinds := []phrase.Kind{phrase.KindDays, phrase.KindDate, phrase.KindClock}
	read := phrase.Read(said, toks, req.Context(), phrase.Query{Kinds: kinds})
	for i, t := range toks {
		covered := slices.ContainsFunc(read.Spans, func(s phrase.Span) bool { return i >= s.First && i < s.Past })
		if !covered && t.Kind == phrase.Word && !slices.Contains([]string{"from", "to", "till", "until", "on", "at", "by", "the", "and", "through", "it", "is", "am", "pm", "st", "nd", "rd", "th"}, t.Low) {
			return "", false
		}
	}
	if !strings.ContainsAny(said, "0123456789") && len(read.Spans) == 0 {
		return "", false
	}
	begun := q.Begun
	if strings.HasPrefix(said, "from ") { // the whole of it anew
		begun, _, _ = strings.Cut(begun, " from ")
	}
	if before, after, gap := strings.Cut(begun, " … "); gap {
		if len(toks) == 1 {
			said = "till " + said
		}
		return before + " " + said + " " + after, true
	}
	if !strings.HasPrefix(said, "from ") && strings.Contains(begun, " from ") && !strings.HasPrefix(said, "until ") && !strings.HasPrefix(said, "till ") && !strings.HasPrefix(said, "to ") {
		said = "until " + said
	}
	return begun + " " + said, true
}
