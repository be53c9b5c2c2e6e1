package house

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// lastAsks ask the day book in plain words: when something was done last, and what was
// done on a day.
func lastAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "book", Command: "book", Text: true, Question: true, Lists: []string{"people"}, Help: "when something was done last, by the day book",
			Forms:    []string{"^when did we|i|you|anyone|anybody|somebody last", "^when was|were", "^when did * last", "^who", "^has|have"},
			Examples: []desk.Example{{Setup: []string{"note the boiler was serviced"}, Line: "when was the boiler serviced"}},
			Plain:    func(req *desk.Request) bool { _, ok, err := lastDone(req); return ok && err == nil }, Strict: true, Do: lastTime,
		},
		{
			Name: "book", Command: "book", Question: true, Lists: []string{"people"}, Kinds: []phrase.Kind{phrase.KindDate}, Needs: []desk.Need{{Kind: phrase.KindDate}}, Help: "what was done on a day",
			Forms: []string{"^what did we|i|everybody|everyone do|get", "^what did * do", "^what happened", "^what was done"}, Fill: []string{"what", "happened", "done", "all", "get"},
			Examples: []desk.Example{{Line: "what did we do yesterday"}},
			Plain:    func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 && !req.Mentions("you") }, Do: book,
		},
	}
}

// lastWords are the words of a question when something was done that name nothing.
var lastWords = strings.Fields("when who was were did last time we i you us our anyone anybody somebody it the a an been has have that is are and to of for on in at with she he they who's has have had her his him its their our my yet anyone ever already")

// lastDone finds the newest entry that has every word of a question in some form: "worm"
// in "wormed". One word alone finds too much.
func lastDone(req *desk.Request) (storage.Entry, bool, error) {
	q := storage.BookQuery{Limit: 1}
	for _, t := range req.Reading.Tokens {
		if t.Kind != phrase.Word || slices.Contains(lastWords, t.Low) {
			continue
		}
		if p, ok := req.Person(t.Low); ok && q.Person == 0 && !strings.HasPrefix(req.Form, "^when was") {
			q.Person = p.ID
			continue
		}
		q.Words = append(q.Words, stem(t.Low))
	}
	if len(q.Words) < 2 || len(q.Words) > 5 || len(req.Reading.Tokens) > 12 {
		return storage.Entry{}, false, nil
	}
	found, err := req.Tx.Book(req.House.ID, q)
	if err != nil || len(found) == 0 {
		return storage.Entry{}, false, err
	}
	return found[0], true, nil
}

// stem cuts the endings of what is done, was done and is being done off a word.
func stem(w string) string {
	for _, end := range []string{"ing", "ed", "es", "s", "e"} {
		if s, ok := strings.CutSuffix(w, end); ok && len(s) >= 3 {
			return s
		}
	}
	return w
}

// lastTime says when, by whom and how long ago.
func lastTime(req *desk.Request) (desk.Reply, error) {
	e, ok, err := lastDone(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if !ok {
		return desk.AskBack("The day book has nothing of that. For example: when was the boiler serviced"), nil
	}
	days := int(req.Now.Sub(e.Happened).Hours() / 24)
	ago := "today"
	switch {
	case req.SayDay(e.Happened) == req.SayDay(req.Now):
	case days <= 1:
		ago = "a day ago"
	default:
		ago = fmt.Sprintf("%d days ago", days)
	}
	yes := ""
	if req.Form == "^has|have" {
		yes = "Yes: "
	}
	out := desk.Answer(fmt.Sprintf("%s%s, %s.", yes, req.Say(e.Happened), ago))
	out.Lines = []string{bookLine(req, e)}
	return out, nil
}
