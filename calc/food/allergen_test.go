package food_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/food"
)

// brings are lines of recipes and what they hold that some may not eat.
const brings = `
butter = milk
butternut squash = 
coconut = coconut
coconut milk = coconut
buckwheat flour = 
eggplant = 
nutmeg, freshly grated = 
cocoa butter = 
peanut butter = peanut
oat milk = gluten
plain flour = gluten, wheat
strong white bread flour = gluten, wheat
self-raising flour, sifted = gluten, wheat
rice flour = 
cornflour = 
chickpea flour = 
almond flour = tree nut
rye flour = gluten
spelt = gluten, wheat
semolina = gluten, wheat
couscous = gluten, wheat
bulgur wheat = gluten, wheat
farro = gluten, wheat
pearl barley = gluten
rolled oats = gluten
gluten-free oats = 
gluten-free plain flour = 
plain flour or gluten-free flour = gluten, wheat
flour, gluten free = gluten, wheat
dairy-free margarine = soy
lactose-free milk = milk
vegan mayonnaise = 
vegan butter = 
free-range eggs = egg
gluten free-range eggs = egg, gluten, wheat
nut-free granola = gluten
egg whites = egg
mayonnaise = egg
meringue = egg
egg noodles = egg, gluten, wheat
rice noodles = 
soba noodles = gluten, wheat
soy sauce = gluten, soy, wheat
tamari = soy
wheat-free tamari = soy
miso paste = gluten, soy
firm tofu, cubed = soy
soya milk = soy
soy lecithin = soy
tahini = sesame
sesame seeds = sesame
hummus = sesame
worcestershire sauce = fish
fish sauce = fish
anchovies in oil = fish
tinned tuna = fish
smoked salmon = fish
raw prawns, peeled = shellfish
shrimp = shellfish
seafood = fish, shellfish
oyster mushrooms = 
500 g clams = shellfish
mussels in wine = shellfish
2 tbsp oyster sauce = gluten, shellfish, soy, wheat
walnuts, chopped = tree nut
pecan halves = tree nut
cashews = tree nut
hazelnuts = tree nut
pistachios = tree nut
almond milk = tree nut
mixed nuts = peanut, tree nut
water chestnuts = 
chestnut mushrooms = 
butter beans = 
butterhead lettuce = 
apple butter = 
ghee = milk
whey = milk
casein = milk
cheddar, grated = milk
parmesan = milk
double cream = milk
cream of tartar = 
cream of coconut = coconut
half and half = milk
half-and-half = milk
ice cream = milk
buttermilk = milk
cottage cheese = milk
goat's milk = milk
rice milk = 
desiccated coconut = coconut
marzipan = egg, tree nut
pesto = milk, tree nut
dark chocolate = milk, soy
breadcrumbs = gluten, wheat
corn tortillas = 
flour tortillas = gluten, wheat
malt vinegar = gluten
cider vinegar = 
beer = gluten
ginger beer = 
puff pastry = gluten, milk, wheat
butter, eggs and flour = egg, gluten, milk, wheat
butter/margarine = milk, soy
satay sauce = peanut
groundnut oil = peanut
crab apples = 
doughnuts = egg, gluten, milk, wheat
olive oil = 
onions, finely chopped = 
`

func TestAllergens(t *testing.T) {
	n := 0
	for line := range strings.SplitSeq(strings.TrimSpace(brings), "\n") {
		words, want, ok := strings.Cut(line, " =")
		require.True(t, ok, line)
		t.Run(words, func(t *testing.T) {
			var got []string
			for _, a := range food.Allergens(words) {
				got = append(got, string(a))
			}
			require.Equal(t, strings.TrimSpace(want), strings.Join(got, ", "))
		})
		n++
	}
	t.Logf("%d lines", n)
	require.GreaterOrEqual(t, n, 60)
}

// TestAllergensOfFoods: wheat is always gluten too, in every food of the table.
func TestAllergensOfFoods(t *testing.T) {
	seen := map[food.Allergen]bool{}
	for _, f := range food.Foods() {
		for _, name := range append(f.Also, f.Name) {
			got := food.Allergens(name)
			for _, a := range got {
				seen[a] = true
			}
			if slices.Contains(got, food.Wheat) {
				require.Contains(t, got, food.Gluten, name)
			}
		}
	}
	for _, a := range []food.Allergen{food.Milk, food.Egg, food.Fish, food.TreeNut, food.Peanut, food.Wheat, food.Soy, food.Sesame, food.Gluten, food.Coconut} {
		require.True(t, seen[a], a)
	}
}

// TestAllergensAddUp: a list of foods brings what its members bring.
func TestAllergensAddUp(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(brings), "\n")
	rapid.Check(t, func(t *rapid.T) {
		a, _, _ := strings.Cut(rapid.SampledFrom(lines).Draw(t, "a"), " =")
		b, _, _ := strings.Cut(rapid.SampledFrom(lines).Draw(t, "b"), " =")
		want := append(food.Allergens(a), food.Allergens(b)...)
		slices.Sort(want)
		require.Equal(t, slices.Compact(want), food.Allergens(a+", "+b))
	})
}

func FuzzAllergens(f *testing.F) {
	for _, s := range []string{"peanut butter", "gluten-free", "free free free", "half and", "and or and", "\xff", "vegan"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		got := food.Allergens(line)
		require.True(t, slices.IsSorted(got))
		require.Equal(t, got, slices.Compact(slices.Clone(got)))
		require.Subset(t, food.Allergens(line+", butter"), append(slices.Clone(got), food.Milk))
	})
}
