package barn

import (
	"slices"
	"strings"
	"time"

	"yardbell/calc/growth"
	"yardbell/handlers/desk"
	"yardbell/storage"
)

// untold is how far ahead a hold is set whose end nobody knows yet.
const untold = 50 * 365 * 24 * time.Hour

// eggItem is how the larder calls the eggs of a kind of bird.
func eggItem(kind string) string {
	if kind == "hen" || kind == "" {
		return "eggs"
	}
	return kind + " eggs"
}

// stockEggs puts the sound eggs of a collection into the larder, held back while a
// treatment says so.
func stockEggs(req *desk.Request, e storage.Eggs) (storage.Eggs, error) {
	n := e.Laid - e.Broken - e.Aside
	if n <= 0 {
		return e, nil
	}
	l := storage.Lot{Household: req.House.ID, Item: eggItem(e.Kind), Got: e.At, Amount: float64(n), Left: float64(n), Dim: storage.Count, Cost: -1, Whence: "our own"}
	c, t, err := clearance(req, growth.Eggs, e.Kind, 0)
	if err != nil {
		return e, err
	}
	if t.ID != 0 && !laidBefore(req, e, t) {
		l.Hold, l.HoldWhy = holdOf(req, c, t)
	}
	l, err = req.Tx.AddLot(l)
	e.Lot = l.ID
	return e, err
}

// holdOf is until when eggs are held back, and why.
func holdOf(req *desk.Request, c growth.Clearance, t storage.Treatment) (time.Time, string) {
	why := t.Name + ": " + t.What
	if c.Unknown {
		why += ", the label's time not told"
	}
	switch {
	case c.Never || c.Unknown:
		return t.At.Add(untold), why
	case c.Free(req.Now):
		return time.Time{}, ""
	}
	return c.At, why
}

// holdEggs holds back the eggs of a family that were collected since a dose, or sets
// them free when its label says so.
func holdEggs(req *desk.Request, family string, c growth.Clearance, t storage.Treatment) error {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil || t.ID == 0 {
		return err
	}
	until, why := holdOf(req, c, t)
	for _, l := range lots {
		if l.Dim != storage.Count || !strings.EqualFold(l.Item, eggItem(family)) || l.Got.Before(t.At) || l.Whence != "our own" {
			continue
		}
		if err := req.Tx.HoldLot(l.ID, until, why); err != nil {
			return err
		}
	}
	return nil
}

// unstockEggs takes eggs that are broken or set aside out of the larder, the last
// collected first. It returns how many there were not.
func unstockEggs(req *desk.Request, kind string, n int) (int, error) {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return n, err
	}
	lots = slices.DeleteFunc(lots, func(l storage.Lot) bool {
		return l.Dim != storage.Count || l.Each != "" || !strings.EqualFold(l.Item, eggItem(kind))
	})
	slices.Reverse(lots)
	short, err := req.Tx.Take(lots, 0, float64(n))
	return int(short), err
}
