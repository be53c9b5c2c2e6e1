package soap

import (
	"time"

	"yardbell/handlers/desk"
)

// pourTakes is how long a pour takes from the first weighing to the washed jug: the
// weighing, the lye that has to clear and cool, the mixing (common practice).
const pourTakes = 90 * time.Minute

// openJobs is the batch that somebody has a card for and has not poured.
func openJobs(req *desk.Request) ([]desk.Job, error) {
	if _, under, err := req.Tx.PouringNow(req.House.ID); err != nil || under {
		return nil, err
	}
	k, c, ok, err := newestCard(req)
	if err != nil || !ok {
		return nil, err
	}
	j := desk.Job{
		Key: "soap:card", Title: "pour the soap", Takes: pourTakes, Needs: desk.Needs{Elsewhere: true, Lye: true, Kitchen: true},
		Detail: k.say(req), Done: "poured", Loose: true, Also: []string{"make", "batch", "card", "new"}, Made: c.At,
	}
	if p, known := req.Person(c.By); known && !p.Child(req.Now) {
		j.By = []int64{p.ID}
	}
	j.Hints, err = req.NextTimes(desk.OfSoap)
	return []desk.Job{j}, err
}
