package barn

import (
	"strings"
	"time"

	"yardbell/calc/feed"
	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// feedMoved takes feed that was lent or given out of its stock, and sets its bell anew.
func feedMoved(req *desk.Request, g desk.Goods, out bool, when time.Time) (string, error) {
	f, ok, err := fodderNamed(req, g)
	if err != nil || !ok {
		return "", err
	}
	b, err := openBook(req)
	if err != nil {
		return "", err
	}
	flow := storage.FodderFlow{Fodder: f.ID, Day: reminders.Day(req.WallOf(when)), How: storage.FodderUsed, Grams: g.Amount}
	if !out {
		flow.How = storage.FodderBought
	}
	if g.Dim == storage.Count {
		each := f.Grams
		if g.Size > 0 && g.SizeDim == storage.Mass {
			each = g.Size
		}
		flow.Grams, flow.Packs = g.Amount*each, g.Amount
	}
	if err := req.Tx.AddFodderFlow(req.House.ID, flow); err != nil {
		return "", err
	}
	s, err := b.stockOf(req, f)
	if err != nil {
		return "", err
	}
	if _, err := s.resettle(req); err != nil {
		return "", err
	}
	return desk.Upper(s.line(req)) + ".", nil
}

// fodderNamed is the household's own feed that goods are, false for any other: by its
// name, by another of the table, or the only one of which a part of the name is said.
func fodderNamed(req *desk.Request, g desk.Goods) (storage.Fodder, bool, error) {
	mine, err := req.Tx.Fodders(req.House.ID)
	if err != nil || g.Dim == storage.Volume || g.Dim == storage.Count && g.Each != "sack" && g.Each != "bag" && g.Each != "bale" {
		return storage.Fodder{}, false, err
	}
	item := strings.ToLower(g.Item)
	made, known := feed.FeedNamed(item)
	var fits []storage.Fodder
	for _, f := range mine {
		if strings.EqualFold(f.Name, item) || known && strings.EqualFold(f.Name, made.Name) {
			return f, true, nil
		}
		if strings.Contains(" "+f.Name+" ", " "+item+" ") || item == "feed" && f.Pack != "bale" {
			fits = append(fits, f)
		}
	}
	if len(fits) != 1 {
		return storage.Fodder{}, false, nil
	}
	return fits[0], true, nil
}
