package flock_test

import (
	"testing"

	"yardbell/calc/flock"
)

func BenchmarkJudge(b *testing.B) {
	days := even(120)
	for i := range days {
		days[i].Hens, days[i].Eggs = 24, 2*days[i].Eggs
	}
	for b.Loop() {
		_, _ = flock.Judge(days, autumn)
	}
}
