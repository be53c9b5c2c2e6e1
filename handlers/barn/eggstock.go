package barn

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/growth"
	"yardbell/handlers/desk"
	"yardbell/reminders"
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
	var err error
	if l.Hold, l.HoldWhy, err = holdOfLaid(req, e.Kind, e.Day, e.At); err != nil {
		return e, err
	}
	l, err = req.Tx.AddLot(l)
	e.Lot = l.ID
	return e, err
}

// holdOfLaid is the hold of eggs of a family that were laid on a day and collected at an
// instant, and why. Eggs laid while a treatment holds them back never become free by the
// date: only what is laid after it may be eaten.
func holdOfLaid(req *desk.Request, family string, day, collected time.Time) (time.Time, string, error) {
	all, err := req.Tx.Treatments(req.House.ID)
	if err != nil {
		return time.Time{}, "", err
	}
	for _, t := range slices.Backward(all) {
		if t.Kind != family || day.Before(reminders.Day(req.WallOf(t.At))) {
			continue
		}
		g, err := courseOfDose(t)
		if err != nil {
			return time.Time{}, "", err
		}
		c, err := growth.Release(growth.Eggs, g)
		if err != nil {
			return time.Time{}, "", err
		}
		why := t.Name + ": " + t.What
		switch {
		case c.Unknown:
			return t.At.Add(untold), why + ", the label's time not told", nil
		case c.Never:
			return t.At.Add(untold), why, nil
		case c.At.After(t.At) && (collected.Before(c.At) || day.Before(reminders.Day(req.WallOf(c.At)))):
			return t.At.Add(untold), fmt.Sprintf("%s, laid before %s", why, req.Say(c.At)), nil
		}
	}
	return time.Time{}, "", nil
}

// holdEggs holds back the eggs of a family that were laid since a dose, or sets them free
// when the label told since says so.
func holdEggs(req *desk.Request, family string) error {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return err
	}
	for _, l := range lots {
		if !ownEggs(l, family) {
			continue
		}
		until, why, err := holdOfLot(req, family, l)
		if err != nil {
			return err
		}
		if err := req.Tx.HoldLot(l.ID, until, why); err != nil {
			return err
		}
	}
	return nil
}

// holdOfLot is the hold of a lot of eggs; what was collected before a dose is left alone.
func holdOfLot(req *desk.Request, family string, l storage.Lot) (time.Time, string, error) {
	all, err := req.Tx.Treatments(req.House.ID)
	since := slices.ContainsFunc(all, func(t storage.Treatment) bool { return t.Kind == family && !l.Got.Before(t.At) })
	if err != nil || !since {
		return l.Hold, l.HoldWhy, err
	}
	return holdOfLaid(req, family, reminders.Day(req.WallOf(l.Got)), l.Got)
}

func ownEggs(l storage.Lot, family string) bool {
	return l.Dim == storage.Count && strings.EqualFold(l.Item, eggItem(family)) && l.Whence == "our own"
}

// heldLots says which eggs in the larder stay held, though what is laid now may be eaten.
func heldLots(req *desk.Request, family string) ([]string, error) {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, l := range lots {
		if ownEggs(l, family) && l.Held(req.Now) {
			out = append(out, fmt.Sprintf("%.0f eggs in the larder: not to be eaten (%s). Throw them out, or do as the vet says.", l.Left, l.HoldWhy))
		}
	}
	return out, nil
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
