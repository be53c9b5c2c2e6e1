package soap

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/storage"
)

// comesRound is what is told when a recipe is taken up again: what was to be otherwise,
// and the last batch of the same fats with what was noted of it.
func comesRound(req *desk.Request, k kept) ([]string, error) {
	hints, err := req.NextTimes(desk.OfSoap)
	if err != nil {
		return nil, err
	}
	before, err := batchBefore(req, k)
	return append(hints, before...), err
}

// mostNotes is how many notes of an earlier batch are told.
const mostNotes = 2

// batchBefore tells of the last batch of the same fats.
func batchBefore(req *desk.Request, k kept) ([]string, error) {
	all, err := req.Tx.Batches(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, b := range slices.Backward(all) {
		was, err := readKept(b.Recipe)
		if err != nil {
			return nil, err
		}
		if !was.sameFats(k) {
			continue
		}
		text := fmt.Sprintf("Last of these fats: %s, %s, superfat %.1f%%, water %.1f : 1 lye", title(b.Num, b.Name), req.SayDay(b.Poured), 100*was.Superfat, was.dissolving()/(was.Lye+was.Potash))
		notes, err := req.Tx.Book(req.House.ID, storage.BookQuery{About: fmt.Sprintf("batch:%d", b.Num), Limit: 200})
		if err != nil {
			return nil, err
		}
		told := 0
		for _, e := range notes {
			if e.Kind == "note" && told < mostNotes {
				text += "; noted: " + strings.ReplaceAll(e.Text, "\n", " / ")
				told++
			}
		}
		return []string{text + "."}, nil
	}
	return nil, nil
}

// sameFats reports a recipe of the same fats, in whatever size.
func (k kept) sameFats(other kept) bool {
	return slices.Equal(k.fatNames(), other.fatNames())
}

func (k kept) fatNames() []string {
	var out []string
	for _, f := range k.Fats {
		out = append(out, f.Name)
	}
	slices.Sort(out)
	return out
}
