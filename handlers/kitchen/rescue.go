package kitchen

import (
	"fmt"

	"yardbell/calc/starter"
	"yardbell/handlers/desk"
)

// rescue says what to do with a jar that was forgotten or looks wrong.
func rescue(req *desk.Request) (desk.Reply, error) {
	if req.Mentions("pink", "orange", "red", "mould", "mouldy", "mold", "moldy", "furry") && !req.Mentions("forgot", "neglected") {
		return desk.Answer("Throw it out, jar and all that touched it washed hot: pink, orange or red streaks and mould are not starter.", "Begin again from a dried or frozen back-up, or from a neighbour's jar."), nil
	}
	days := int(gone(req).Hours() / 24)
	n, err := starter.Waking(max(days, 0))
	if err != nil {
		return desk.Reply{}, fmt.Errorf("waking the jar: %w", err)
	}
	out := desk.Answer(fmt.Sprintf("Feed it %s, 12 hours apart on the counter, 1:5:5 at first, until it doubles in its time.", timesText(n)))
	out.Lines = []string{"Grey water on top is hunger only: pour it off or stir it in.", "Throw it out if there are pink, orange or red streaks, mould, or a rotten smell."}
	out.Assumed = []string{"common practice"}
	return out, nil
}

func timesText(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// discard says what it can go to.
func discard(*desk.Request) (desk.Reply, error) {
	c := starter.Crackers()
	keep := starter.DiscardKeeps()
	out := desk.Answer(fmt.Sprintf("Into crackers: fat %.0f to %.0f%% of all flour, salt %.1f to %.1f%%, flour until the water is %.0f to %.0f%%; rolled %.0f to %.0f mm thin, pricked, baked at %.0f to %.0f C until dry through.",
		100*c.Fat.Low, 100*c.Fat.High, 100*c.Salt.Low, 100*c.Salt.High, 100*c.Hydration.Low, 100*c.Hydration.High, c.Thickness.Low, c.Thickness.High, c.Oven.Low, c.Oven.High))
	out.Lines = []string{"At 100% it is half flour and half water by weight: count both in any dough, pancake or batter.", fmt.Sprintf("It waits in the fridge for %.0f to %.0f days.", keep.Low, keep.High)}
	out.Cautions = []string{"Raw flour and raw starter are raw food: bake before eating. Wheat, rye and barley hold gluten."}
	return out, nil
}
