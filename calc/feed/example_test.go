package feed_test

import (
	"errors"
	"fmt"
	"time"

	"yardbell/calc/feed"
)

func ExampleKindNamed() {
	k, ok := feed.KindNamed("Does")
	fmt.Println(k.Name, k.Stages, ok)
	// Output: goat [maintenance late pregnancy milking] true
}

func ExampleStageNamed() {
	stage, ok := feed.StageNamed("sow", "with piglets")
	fmt.Println(stage, ok)
	// Output: lactating true
}

func ExampleFeedNamed() {
	f, ok := feed.FeedNamed("layers")
	fmt.Println(f.Name, f.Protein, f.For, ok)
	// Output: layers pellets 0.16 [laying hen bantam] true
}

func ExampleFeedsFor() {
	for _, f := range feed.FeedsFor("sow") {
		fmt.Println(f.Name)
	}
	// Output:
	// sow rolls
	// pig mineral
}

func ExampleNeed() {
	r, err := feed.Need(feed.Group{Kind: "hens", Heads: 24}, feed.Weather{})
	fmt.Printf("%.1f kg a day, %.1f to %.1f %v\n", r.Fed.Typical, r.Fed.Low, r.Fed.High, err)
	r, err = feed.Need(feed.Group{Kind: "sow", Stage: "nursing", Heads: 1, Young: 10}, feed.Weather{})
	fmt.Printf("%.1f kg a day %v\n", r.Grain.Typical, err)
	r, err = feed.Need(feed.Group{Kind: "goat", Stage: "in milk", Heads: 2}, feed.At(-5))
	fmt.Printf("%.1f kg hay, %.1f kg grain, %.0f %% for the cold %v\n", r.Hay.Typical, r.Grain.Typical, 100*r.Cold, err)
	// Output:
	// 2.7 kg a day, 2.2 to 3.3 <nil>
	// 5.9 kg a day <nil>
	// 4.4 kg hay, 1.9 kg grain, 9 % for the cold <nil>
}

func ExampleCowDry() {
	fmt.Printf("%.2f kg\n", feed.CowDry(600, 30, 0.04, 20))
	// Output: 22.65 kg
}

func ExampleGroup_After() {
	pigs, err := feed.Group{Kind: "pigs", Heads: 2, Weight: 30}.After(20)
	fmt.Printf("%.0f kg each %v\n", pigs.Weight, err)
	// Output: 45 kg each <nil>
}

func ExampleGrow() {
	g, err := feed.Grow(feed.Group{Kind: "chick"}, 42)
	fmt.Printf("%.2f kg to %.0f weeks %v\n", g.Fed, g.End, err)
	// Output: 1.30 kg to 6 weeks <nil>
}

func ExampleGrowTo() {
	g, err := feed.GrowTo(feed.Group{Kind: "pig", Weight: 25}, 135)
	fmt.Printf("%.0f kg in %.0f days %v\n", g.Fed, g.Days, err)
	// Output: 304 kg in 128 days <nil>
}

func ExampleGrows() {
	weeks, ok := feed.Grows("pig", "")
	fmt.Println(weeks, ok)
	// Output: false true
}

func ExampleWater() {
	d, err := feed.Water(feed.Group{Kind: "hens", Heads: 24}, feed.At(32))
	fmt.Printf("%.0f L, hot %v %v\n", d.Litres.Typical, d.Hot, err)
	// Output: 8 L, hot true <nil>
}

func ExampleCoatIn() {
	c, ok := feed.CoatIn("cow", feed.Weather{Known: true, Celsius: 8, Wet: true})
	fmt.Printf("%s from %.0f °C %v\n", c.Name, c.Low, ok)
	// Output: wet from 15 °C true
}

func ExampleRunsOut() {
	sack := feed.Stock{Day: time.Date(2026, 12, 15, 0, 0, 0, 0, time.UTC), Mass: 20, Waste: 0.04, Part: feed.Grain}
	f, err := feed.RunsOut(sack, []feed.Group{{Kind: "hens", Heads: 24}}, feed.Weather{})
	fmt.Printf("%.1f days, the last full one %s; %.1f to %.1f %v\n", f.Days, f.Last.Format("2 January"), f.Early, f.Late, err)
	// Output: 7.1 days, the last full one 21 December; 5.9 to 8.8 <nil>
}

func ExampleBuyBy() {
	holidays := map[string]bool{"2026-12-25": true, "2026-12-28": true}
	closed := func(d time.Time) bool { return feed.Weekend(d) || holidays[d.Format(time.DateOnly)] }
	day, err := feed.BuyBy(time.Date(2026, 12, 28, 0, 0, 0, 0, time.UTC), 1, closed)
	fmt.Println(day.Format("Monday 2 January"), err)
	// Output: Thursday 24 December <nil>
}

func ExampleUsed() {
	hens := []feed.Group{{Kind: "hens", Heads: 24}}
	first := time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)
	use, err := feed.Used([]feed.Reading{
		{Day: first, Mass: 40},
		{Day: first.AddDate(0, 0, 10), Mass: 10},
	}, feed.Grain, hens, feed.Weather{})
	fmt.Printf("%.1f kg a day, by the table %.1f %v\n", use.Daily, use.Table, err)
	f, err := feed.RunsOut(use.Stock(feed.Grain), hens, feed.Weather{})
	fmt.Printf("the rest lasts %.1f days %v\n", f.Days, err)
	// Output:
	// 3.0 kg a day, by the table 2.7 <nil>
	// the rest lasts 3.3 days <nil>
}

func ExampleSquare() {
	corn, _ := feed.FeedNamed("corn")
	soya, _ := feed.FeedNamed("soya")
	m, err := feed.Square(corn.Protein, soya.Protein, 0.16, 0)
	fmt.Printf("%.1f %% corn, %.1f %% soya %v\n", 100*m.A, 100*m.B, err)
	_, err = feed.Square(corn.Protein, soya.Protein, 0.5, 0)
	fmt.Println(errors.Is(err, feed.ErrMix), err)
	// Output:
	// 78.9 % corn, 21.1 % soya <nil>
	// true no mix of these: 50 % does not lie between 8.5 and 44 %
}

func ExampleCautionsFor() {
	for _, c := range feed.CautionsFor("layers pellets", "pullet") {
		fmt.Println(c.Text)
	}
	// Output: Layers feed has 3.5 to 4.5 % calcium, which harms chicks and pullets before lay.
}

func ExampleHayFor() {
	hay, err := feed.HayFor([]feed.Group{{Kind: "goats", Heads: 2}}, 150, 0.1, feed.Weather{})
	bale, _ := feed.BaleOf("hay", "small")
	n, _ := feed.Count(hay.Typical, bale.Mass.Typical)
	fmt.Printf("%.0f kg, %d small bales %v\n", hay.Typical, n, err)
	// Output: 568 kg, 23 small bales <nil>
}

func ExampleBedding() {
	straw, err := feed.Bedding(feed.Group{Kind: "sow", Heads: 1}, 30)
	fmt.Printf("%.0f kg, %.0f to %.0f %v\n", straw.Typical, straw.Low, straw.High, err)
	// Output: 75 kg, 45 to 120 <nil>
}

func ExampleAsFed() {
	hay, err := feed.AsFed(24, 0.88)
	fmt.Printf("%.1f kg %v\n", hay, err)
	// Output: 27.3 kg <nil>
}

func ExampleWithWaste() {
	out, err := feed.WithWaste(27.3, 0.15)
	fmt.Printf("%.1f kg %v\n", out, err)
	// Output: 32.1 kg <nil>
}

func ExampleWasteOf() {
	w, ok := feed.WasteOf("hay net")
	fmt.Println(w.How, w.Share.Low, w.Share.High, ok)
	// Output: hay in a feeder 0.05 0.1 true
}

func ExampleHeaterEnergy() {
	kwh, err := feed.HeaterEnergy(1500, 0.5, 30)
	fmt.Println(kwh, "kWh", err)
	// Output: 540 kWh <nil>
}
