package desk

import (
	"fmt"
	"slices"

	"yardbell/reminders"
	"yardbell/storage"
)

// HomeAsked is the question, put today and not answered, whether children are at home; of
// whom is in its Home, nobody for none.
func (r *Request) HomeAsked() (storage.Question, error) {
	return r.Tx.Asked(r.House.ID, storage.OfHome, r.Instant(reminders.Day(r.Wall)))
}

// NotAnswered tells of that question and offers its answers, where it is still not known
// whether one of its children is at home; empty for none.
func (r *Request) NotAnswered() (string, []storage.Button, error) {
	q, err := r.HomeAsked()
	if err != nil || len(q.Home) == 0 {
		return "", nil, err
	}
	home, err := r.Roster.AtHome(r, r.Wall.Add(1))
	if err != nil {
		return "", nil, err
	}
	var open []string
	for _, h := range home {
		if h.Maybe && slices.Contains(q.Home, h.Child.Name) {
			open = append(open, h.Child.Name)
		}
	}
	if len(open) == 0 {
		return "", nil, nil
	}
	return fmt.Sprintf("Not answered yet: %s at home today? %s", Upper(isOrAre(open)[1:])+List(open), q.Asked), q.Options, nil
}
