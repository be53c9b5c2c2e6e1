package cure

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Errors of the drying curve.
var (
	// ErrFewWeighings: a curve of three unknowns needs three different times.
	ErrFewWeighings = errors.New("fewer than three weighings at different times")
	// ErrNotDrying: the weights do not fall as those of something that dries.
	ErrNotDrying = errors.New("the weights do not fall as in drying")
	// ErrWeighing: a value that is no number, or that no scale or calendar shows.
	ErrWeighing = errors.New("not a weighing")
)

// Weighing is the weight of a batch at a time.
type Weighing struct {
	Days  float64 // since the pour, 0 or more, with fractions
	Grams float64 // more than 0
}

// Drying is the course of a batch's weight,
//
//	grams(days) = Limit + Lost * exp(-days / Tau),
//
// close to how bars dry: Tau is two to four weeks for a bar of 100 g and longer
// for thicker ones (common practice).
type Drying struct {
	Limit float64 // what the batch comes down to, g
	Lost  float64 // what it loses on the way from the pour, g
	Tau   float64 // days in which the loss still to come falls to 1/e

	// Aside is the weighing left out by Fit as a slip or a damp day, if any.
	Aside *Weighing

	used  []Weighing // what the curve was fitted to, in order of time
	sigma float64    // standard deviation of one weighing, g
	rss   float64    // sum of the squared distances to the curve, g^2
}

// Forecast is a day with its 90 % interval, in days since the pour. The interval
// tells what the scatter of the weighings leaves open, given that the batch dries
// exponentially; it knows nothing of a change of room or weather.
type Forecast struct {
	Day   float64
	Early float64 // 0 or more
	Late  float64 // +Inf when the weighings do not bound it
}

// The range in which Tau is searched, in days, and the last day that is looked at
// for a Forecast: what may be later is not bounded.
const (
	minTau  = 2.0
	maxTau  = 200.0
	horizon = 730.0
)

// week in days.
const week = 7.0

// Fit draws the curve through weighings of one batch by least squares. noise is
// the standard deviation of one weighing in grams, of scale step and handling
// together, more than 0; if the weighings scatter more, their own scatter is taken.
//
// The order does not matter, and several weighings may be of one day. Every
// weighing has to be of the same bars: what was taken away or sold in between is
// for the caller to put back. With weighings at five times or more, one that stands
// out where the weight rises (a damp day, a slip) and without which the others lie
// on a curve is put Aside.
//
// It returns ErrWeighing, ErrFewWeighings, or ErrNotDrying for weights that rise
// overall or that no falling curve fits.
func Fit(ws []Weighing, noise float64) (Drying, error) {
	if err := check(ws, noise); err != nil {
		return Drying{}, err
	}
	ws = slices.Clone(ws)
	slices.SortFunc(ws, byTime)
	if times(ws) < 3 {
		return Drying{}, ErrFewWeighings
	}
	d, err := fit(ws, noise)
	if err != nil {
		return Drying{}, err
	}
	return d.withoutSlip(noise), nil
}

// check refuses what cannot have been weighed. 10,000 days and 10^7 g are far
// beyond any batch, and far from where the arithmetic ends.
func check(ws []Weighing, noise float64) error {
	if !(noise > 0 && noise <= 1e6) {
		return fmt.Errorf("%w: noise of %g g", ErrWeighing, noise)
	}
	for _, w := range ws {
		if !(w.Days >= 0 && w.Days <= 1e4 && w.Grams > 0 && w.Grams <= 1e7) {
			return fmt.Errorf("%w: %g g on day %g", ErrWeighing, w.Grams, w.Days)
		}
	}
	return nil
}

// byTime orders by time, then weight, so that the order of input cannot matter.
func byTime(a, b Weighing) int {
	return cmp.Or(cmp.Compare(a.Days, b.Days), cmp.Compare(a.Grams, b.Grams))
}

// times counts the different times of sorted weighings.
func times(ws []Weighing) int {
	n := 0
	for i := range ws {
		if i == 0 || ws[i].Days != ws[i-1].Days {
			n++
		}
	}
	return n
}

// fit fits sorted weighings of three times or more. For a given Tau the curve is a
// straight line in exp(-t/Tau), so that only Tau has to be searched.
func fit(ws []Weighing, noise float64) (Drying, error) {
	x, y := make([]float64, len(ws)), make([]float64, len(ws))
	for i, w := range ws {
		x[i], y[i] = w.Days, w.Grams
	}
	if _, slope := stat.LinearRegression(x, y, nil, false); !(slope < 0) {
		return Drying{}, fmt.Errorf("%w: they rise overall", ErrNotDrying)
	}
	tau, rss := lowest(func(tau float64) float64 { return line(ws, x, y, tau).rss }, maxTau)
	if math.IsInf(rss, 1) {
		return Drying{}, ErrNotDrying
	}
	d := line(ws, x, y, tau)
	d.used, d.sigma = ws, noise
	if free := len(ws) - 3; free > 0 {
		d.sigma = max(noise, math.Sqrt(rss/float64(free)))
	}
	return d, nil
}

// line is the best curve of a given Tau; x is for it to write in. Its rss is +Inf
// where that curve would not fall or would fall to less than nothing. Time counts
// from the first weighing on the way: exp(-t/Tau) would vanish for old batches.
func line(ws []Weighing, x, y []float64, tau float64) Drying {
	for i, w := range ws {
		x[i] = math.Exp(-(w.Days - ws[0].Days) / tau)
	}
	limit, lost := stat.LinearRegression(x, y, nil, false)
	d := Drying{Limit: limit, Lost: lost * math.Exp(ws[0].Days/tau), Tau: tau}
	if !(limit > 0 && lost > 0) || math.IsInf(d.Lost, 1) {
		d.rss = math.Inf(1)
		return d
	}
	for i := range x {
		off := y[i] - limit - lost*x[i]
		d.rss += off * off
	}
	return d
}

// How finely lowest looks: steps on the first pass, and halvings of the place.
const (
	coarse = 28
	finer  = 36
)

// lowest finds the Tau in [minTau, top] for which f is least: by equal steps of its
// logarithm, then by the golden section about the best of them.
func lowest(f func(tau float64) float64, top float64) (tau, least float64) {
	step := math.Log(top/minTau) / coarse
	at := func(i float64) float64 { return f(minTau * math.Exp(i*step)) }
	best, least := 0.0, at(0)
	for i := 1.0; i <= coarse; i++ {
		if v := at(i); v < least {
			best, least = i, v
		}
	}
	i, v := golden(at, max(best-1, 0), min(best+1, coarse))
	if v < least {
		best, least = i, v
	}
	return minTau * math.Exp(best*step), least
}

// golden finds the least value of f, with one valley between a and b.
func golden(f func(float64) float64, a, b float64) (x, least float64) {
	const g = math.Phi - 1
	c, d := b-g*(b-a), a+g*(b-a)
	fc, fd := f(c), f(d)
	for range finer {
		if fc <= fd {
			b, d, fd = d, c, fc
			c = b - g*(b-a)
			fc = f(c)
			continue
		}
		a, c, fc = c, d, fd
		d = a + g*(b-a)
		fd = f(d)
	}
	if fc <= fd {
		return c, fc
	}
	return d, fd
}

// withoutSlip leaves one weighing out if all together scatter far more than the
// noise allows (once in a thousand times) and the others do not (once in ten).
func (d Drying) withoutSlip(noise float64) Drying {
	if times(d.used) < 5 || !d.scatters(noise, 0.999) {
		return d
	}
	best := d
	for i := range d.used {
		if !d.besideRise(i, noise) {
			continue
		}
		rest := slices.Delete(slices.Clone(d.used), i, i+1)
		if e, err := fit(rest, noise); err == nil && e.rss < best.rss {
			best, best.Aside = e, &Weighing{d.used[i].Days, d.used[i].Grams}
		}
	}
	if best.scatters(noise, 0.9) {
		return d
	}
	return best
}

// scatters says whether the sum of squares is above that share of what noise gives.
func (d Drying) scatters(noise, share float64) bool {
	free := float64(len(d.used) - 3)
	return d.rss/(noise*noise) > distuv.ChiSquared{K: free}.Quantile(share)
}

// besideRise says whether the weight rises to or from that weighing by more than
// three times the noise of a difference: drying cannot do that.
func (d Drying) besideRise(i int, noise float64) bool {
	rise := 3 * math.Sqrt2 * noise
	return i > 0 && d.used[i].Grams-d.used[i-1].Grams > rise ||
		i+1 < len(d.used) && d.used[i+1].Grams-d.used[i].Grams > rise
}

// At returns the weight on that day since the pour, in g.
func (d Drying) At(days float64) float64 {
	return d.Limit + d.Lost*math.Exp(-days/d.Tau)
}

// WeekLoss returns the share of the weight of that day that is lost in the seven
// days after it, 0 to 1.
func (d Drying) WeekLoss(days float64) float64 {
	return 1 - d.At(days+week)/d.At(days)
}

// Settled returns the first day since the pour from which the next seven days take
// less than that share of the weight: 0.01 is the usual end of the cure, 0.005 the
// better one (common practice), besides four weeks of age and no free alkali.
//
// The interval holds the days that the weighings do not contradict: those for which
// the best curve that settles on that very day has a sum of squares at most
// 1.645^2 sigma^2 above the best of all (profile likelihood). A Drying that did not
// come out of Fit has no weighings, and its interval is 0 to +Inf. A share that is
// not above 0 is never reached: all three days are +Inf.
func (d Drying) Settled(share float64) Forecast {
	if !(share > 0) {
		return Forecast{math.Inf(1), math.Inf(1), math.Inf(1)}
	}
	day := d.settles(share)
	f := Forecast{Day: max(day, 0), Late: math.Inf(1)}
	if len(d.used) == 0 {
		return f
	}
	z := distuv.UnitNormal.Quantile(0.95)
	most := d.rss + z*z*d.sigma*d.sigma
	allowed := func(day float64) bool { return d.settling(day, share) <= most }
	if !allowed(0) {
		f.Early = edge(allowed, f.Day, 0)
	}
	if f.Day < horizon && !allowed(horizon) {
		f.Late = edge(allowed, f.Day, horizon)
	}
	return f
}

// settles solves WeekLoss(day) = share; below 0 if the batch was there at the pour.
func (d Drying) settles(share float64) float64 {
	first := -math.Expm1(-week/d.Tau) - share
	if first <= 0 {
		return 0
	}
	return d.Tau * (math.Log(d.Lost) - math.Log(d.Limit) + math.Log(first/share))
}

// edge returns where allowed ends between a day that is and one that is not, to a
// hundredth of a day.
func edge(allowed func(float64) bool, in, out float64) float64 {
	for range 40 { // more halvings than any span of days needs
		if math.Abs(out-in) <= 0.01 {
			break
		}
		mid := (in + out) / 2
		if allowed(mid) {
			in = mid
		} else {
			out = mid
		}
	}
	return in
}

// settling is the least sum of squares of all curves that settle on that day.
func (d Drying) settling(day, share float64) float64 {
	top := maxTau
	if share < 1 {
		top = min(top, -week/math.Log1p(-share)*(1-1e-9)) // slower ones never lose as much in a week
	}
	if !(share < 1 && top > minTau) {
		return math.Inf(1)
	}
	_, least := lowest(func(tau float64) float64 { return d.settlingAt(day, share, tau) }, top)
	return least
}

// settlingAt is that sum for one Tau: with the day, Lost is a multiple of Limit, and
// one factor for the whole curve is left to fit.
func (d Drying) settlingAt(day, share, tau float64) float64 {
	lost := share / (-math.Expm1(-week/tau) - share) // at that day, as a multiple of Limit
	start := d.used[0].Days
	limit := math.Exp(-(day - start) / tau) // the curve is scaled to lost at the first weighing
	var shapeShape, shapeGrams float64
	for _, w := range d.used {
		shape := limit + lost*math.Exp(-(w.Days-start)/tau)
		shapeShape += shape * shape
		shapeGrams += shape * w.Grams
	}
	factor, sum := shapeGrams/shapeShape, 0.0
	for _, w := range d.used {
		off := w.Grams - factor*(limit+lost*math.Exp(-(w.Days-start)/tau))
		sum += off * off
	}
	return sum
}

// ThreePoint returns the curve through three weights in g, gap days apart, without
// a search:
//
//	Limit = (m0 m2 - m1^2) / (m0 + m2 - 2 m1), Tau = gap / ln((m0 - m1) / (m1 - m2)),
//
// exact for exponential drying. Days of the result count from the first of them. It
// returns ErrWeighing for what is no weight or gap, ErrNotDrying where the losses do
// not shrink or would never stop.
func ThreePoint(m0, m1, m2, gap float64) (Drying, error) {
	if err := check([]Weighing{{0, m0}, {gap, m1}, {2 * gap, m2}}, 1); err != nil {
		return Drying{}, err
	}
	if gap == 0 {
		return Drying{}, fmt.Errorf("%w: no time between them", ErrWeighing)
	}
	if !(m0-m1 > m1-m2 && m1-m2 > 0) {
		return Drying{}, fmt.Errorf("%w: %g, %g, %g g", ErrNotDrying, m0, m1, m2)
	}
	d := Drying{Limit: (m0*m2 - m1*m1) / (m0 + m2 - 2*m1), Tau: gap / math.Log((m0-m1)/(m1-m2))}
	d.Lost = m0 - d.Limit
	if !(d.Limit > 0) {
		return Drying{}, fmt.Errorf("%w: %g, %g, %g g come down to less than nothing", ErrNotDrying, m0, m1, m2)
	}
	return d, nil
}

// ErrDryWeight is returned for a batch that cannot dry to that share of water.
var ErrDryWeight = errors.New("cannot dry to that")

// DryWeight returns the weight in g of a batch of which pour g were poured, solids g
// of them not water, when it is down to that share of water (0 up to but not 1):
// solids / (1 - water). A cured bar holds 0.10 to 0.12 (common practice). It returns
// ErrDryWeight for other values, and where the pour held no more water than that.
func DryWeight(pour, solids, water float64) (float64, error) {
	if !(solids > 0 && solids <= pour && pour <= 1e9 && water >= 0 && water < 1) {
		return 0, fmt.Errorf("%w: %g g of solids in %g g, water share %g", ErrDryWeight, solids, pour, water)
	}
	dry := solids / (1 - water)
	if dry > pour {
		return 0, fmt.Errorf("%w: the pour held less water than %g", ErrDryWeight, water)
	}
	return dry, nil
}
