package food_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/food"
)

// wordings are lines of recipes without their amounts, and the food each names; none for
// what the table does not have.
const wordings = `
strong white bread flour, sifted = bread flour
onions, finely chopped = onion chopped
large eggs = egg whole raw
tinned tomatoes = tomatoes canned with juice
plain flour = all-purpose flour
plain flour, plus extra for dusting = all-purpose flour
all-purpose flour = all-purpose flour
All-Purpose Flour (spooned and levelled) = all-purpose flour
flour, plain = all-purpose flour
flour = all-purpose flour
self raising flour = self-rising flour
self-raising flour, sifted = self-rising flour
strong flour = bread flour
wholemeal flour = whole wheat flour
strong wholemeal bread flour = whole wheat flour
rye flour = rye flour medium
dark rye flour = rye flour dark
buckwheat flour = buckwheat flour
rice flour = rice flour white
cornflour = cornstarch
corn flour = corn flour whole-grain
cornstarch = cornstarch
chickpea flour = none
flour, chickpea = none
gluten-free plain flour = none
coconut flour = none
ground almonds = almond meal
almond flour = almond meal
flaked almonds, toasted = almonds sliced
almonds, roughly chopped = almonds whole
caster sugar = granulated sugar
golden caster sugar = granulated sugar
sugar = granulated sugar
soft light brown sugar = brown sugar packed
dark brown sugar, packed = brown sugar packed
icing sugar = powdered sugar unsifted
icing sugar, sifted = powdered sugar sifted
sugar, powdered = powdered sugar unsifted
demerara sugar = none
sugar, demerara = none
vanilla sugar = none
black treacle = molasses
golden syrup = none
honey, warmed until runny = none
runny honey = honey
bicarbonate of soda = baking soda
baking soda = baking soda
baking powder = baking powder double-acting
cream of tartar = cream of tartar
salt = table salt
fine sea salt = table salt
sea salt = none
coarse kosher salt = kosher salt coarse
salt and freshly ground black pepper = none
freshly ground black pepper = black pepper ground
white pepper = none
dried yeast = active dry yeast
fast-action dried yeast = instant dry yeast
fresh yeast = fresh yeast
yeast = none
butter = butter
unsalted butter, softened = butter
cold butter, cut into small cubes = butter
butter, melted, plus extra for greasing the tin = butter
butter or margarine = none
peanut butter = peanut butter smooth
cocoa butter = none
cashew butter = none
almond butter = almond butter
cocoa powder, sifted = cocoa powder unsweetened
milk = milk whole
whole milk, warm = milk whole
skimmed milk = milk nonfat
semi-skimmed milk = none
2% milk = none
coconut milk = none
milk, coconut = none
oat milk = none
evaporated milk = evaporated milk
milk, evaporated = evaporated milk
condensed milk = sweetened condensed milk
double cream = heavy cream
heavy cream, whipped = heavy cream
sour cream = sour cream
soured cream = sour cream
single cream = none
cream = none
coconut cream = none
ice cream = none
cream cheese = cream cheese
half-and-half = half and half
natural yoghurt = yogurt plain
mature cheddar, grated = cheddar cheese shredded
cheddar, diced = cheddar cheese diced
free-range eggs, beaten = egg whole raw
medium eggs = egg whole raw medium
egg yolks = egg yolk raw
egg whites, whisked = egg white raw
hard-boiled eggs, chopped = egg hard-cooked chopped
duck eggs = duck egg raw
eggplant = none
egg noodles = egg noodles dry
rice noodles = none
noodles = none
red onion, thinly sliced = onion sliced
onion powder = onion powder
onion, powdered = none
spring onions, chopped = green onion chopped
garlic cloves, crushed = garlic
garlic powder = garlic powder
cloves = none
ground cloves = cloves ground
fresh ginger, grated = ginger root fresh
ground ginger = ginger ground
ginger = none
carrots, peeled and grated = carrot grated
carrots, peeled and cut into 1 cm dice = carrot chopped
celery sticks = celery chopped
courgettes, sliced = zucchini chopped
aubergine = none
swede, peeled and cubed = rutabaga cubed
beetroot = beet
cooked beetroot = none
potatoes, peeled = potato diced
new potatoes = potato diced
sweet potato = sweet potato cubed
mashed potato = mashed potato
potato crisps = none
butternut squash, peeled and deseeded = butternut squash cubed
butter beans = none
tomatoes, chopped = tomato chopped
ripe tomatoes = tomato chopped
tin of chopped tomatoes = tomatoes canned with juice
tomatoes (canned) = tomatoes canned with juice
crushed tomatoes = none
sun-dried tomatoes = none
cherry tomatoes = none
tomato ketchup = ketchup
red cabbage = none
white cabbage, shredded = cabbage shredded
fresh spinach = spinach raw
frozen spinach = none
spinach, cooked = none
frozen peas = peas green frozen
dried peas = none
fresh parsley, chopped = parsley fresh chopped
dried parsley = none
dried oregano = oregano dried leaves
fresh basil = none
coriander seeds = coriander seed
ground coriander = none
nutmeg, freshly grated = nutmeg ground
cinnamon stick = none
cinnamon = cinnamon ground
long-grain rice, rinsed = white rice long-grain dry
rice, cooked = white rice long-grain cooked
cooked brown rice = brown rice long-grain cooked
rice vinegar = none
pudding rice = none
red lentils = none
green lentils = lentils dry
dried chickpeas, soaked overnight = chickpeas dry
cooked chickpeas = chickpeas cooked
chickpeas = none
tin of chickpeas, drained = none
fresh egg noodles = none
porridge oats = rolled oats
pinhead oatmeal = steel-cut oats dry
pearl barley = pearled barley dry
juice of 1 lemon = lemon juice
lemon = none
lemon zest = none
cooking apples, peeled, cored and sliced = apple peeled sliced
apples = apple with skin chopped
apple cider vinegar = cider vinegar
bananas, mashed = banana mashed
streaky bacon rashers = bacon raw
minced beef = none
beef mince = none
roast chicken meat = cooked chicken diced
chicken breast = none
fresh cooked chicken = none
fresh tinned tomatoes = none
chicken stock = stock chicken
stock = none
suet = none
olive oil, plus extra to serve = olive oil
rapeseed oil = canola oil
vegetable oil = none
cold water = water
boiling water = water
coconut water = none
rose water = none
raspberry jam = jam or preserves
tinned tuna in brine, drained = tuna canned drained
carrots, chopped or grated = carrot chopped
uncooked rice = white rice long-grain dry
raw beetroot = beet
whipped cream = none
whipped butter = none
carrots, chopped or sliced = carrot chopped
`

func TestFind(t *testing.T) {
	n := 0
	for line := range strings.SplitSeq(strings.TrimSpace(wordings), "\n") {
		words, want, ok := strings.Cut(line, " = ")
		require.True(t, ok, line)
		t.Run(words, func(t *testing.T) {
			got, found := food.Find(words)
			if !found {
				got.Name = "none"
			}
			require.Equal(t, want, got.Name)
		})
		n++
	}
	t.Logf("%d wordings", n)
	require.GreaterOrEqual(t, n, 120)
}

// TestFindNames: every name that the table has for a food finds that food.
func TestFindNames(t *testing.T) {
	for _, f := range food.Foods() {
		for _, name := range append(f.Also, f.Name) {
			got, ok := food.Named(strings.ToUpper(name))
			require.True(t, ok, name)
			require.Equal(t, f.Name, got.Name, name)
			if strings.Contains(name, " or ") || strings.HasSuffix(name, "(UK)") {
				continue
			}
			got, ok = food.Find(name)
			require.True(t, ok, name)
			require.Equal(t, f.Name, got.Name, name)
		}
	}
}

func TestFindNothing(t *testing.T) {
	for _, line := range []string{"", " ", ",", "()", "or", " or ", "of", "12", "%", "chopped", "fresh", "to taste", "plus", "é", "\xff", "(((", ")))", strings.Repeat("butter or ", 60) + "butter"} {
		_, ok := food.Find(line)
		require.False(t, ok, "%q", line)
	}
	_, ok := food.Named("nothing of the kind")
	require.False(t, ok)
}

func FuzzFind(f *testing.F) {
	for _, s := range []string{"onions, finely chopped", "tin (400 g) of tomatoes", "half & half", "", "\xff'’%", "butter or margarine", "))((,;–"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		got, ok := food.Find(line)
		require.Equal(t, ok, got.Name != "")
		if len(line) < 400 {
			again, too := food.Find("of the " + line)
			require.Equal(t, ok, too, "%q", line)
			require.Equal(t, got.Name, again.Name, "%q", line)
		}
	})
}
