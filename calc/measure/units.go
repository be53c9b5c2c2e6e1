package measure

import "math/big"

func rat(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic("measure: bad factor " + s)
	}
	return r
}

func unit(name string, dim Dimension, factor string, words ...string) *Unit {
	return &Unit{Name: name, Dim: dim, Factor: rat(factor), Words: words}
}

// Units of mass, in grams.
var (
	Gram      = unit("g", Mass, "1", "g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes")
	Kilogram  = unit("kg", Mass, "1000", "kg", "kgs", "kilo", "kilos", "kilogram", "kilograms")
	Milligram = unit("mg", Mass, "1/1000", "mg", "milligram", "milligrams")
	Ounce     = unit("oz", Mass, "45359237/1600000", "oz", "ozs", "ounce", "ounces")
	Pound     = unit("lb", Mass, "45359237/100000", "lb", "lbs", "pound", "pounds")
	Stone     = unit("st", Mass, "317514659/50000", "stone", "stones")
)

// Units of volume, in millilitres. The plain names are the US customary ones.
var (
	Millilitre = unit("mL", Volume, "1", "ml", "mls", "millilitre", "millilitres", "milliliter", "milliliters")
	Centilitre = unit("cL", Volume, "10", "cl", "centilitre", "centilitres", "centiliter", "centiliters")
	Decilitre  = unit("dL", Volume, "100", "dl", "decilitre", "decilitres", "deciliter", "deciliters")
	Litre      = unit("L", Volume, "1000", "l", "litre", "litres", "liter", "liters", "ltr", "ltrs")
	Teaspoon   = unit("tsp", Volume, "157725491/32000000", "tsp", "tsps", "teaspoon", "teaspoons")
	Tablespoon = unit("tbsp", Volume, "473176473/32000000", "tbsp", "tbsps", "tbs", "tblsp", "tablespoon", "tablespoons")
	Cup        = unit("cup", Volume, "473176473/2000000", "c", "cup", "cups")
	FluidOunce = unit("fl oz", Volume, "473176473/16000000", "floz", "fl oz", "fl. oz", "fluid ounce", "fluid ounces")
	Gill       = unit("gill", Volume, "473176473/4000000", "gill", "gills")
	Pint       = unit("pint", Volume, "473176473/1000000", "pt", "pts", "pint", "pints")
	Quart      = unit("quart", Volume, "473176473/500000", "qt", "qts", "quart", "quarts")
	Gallon     = unit("gallon", Volume, "473176473/125000", "gal", "gals", "gallon", "gallons")
	CubicInch  = unit("cu in", Volume, "2048383/125000", "cu in", "cubic inch", "cubic inches")
)

// Imperial and metric kitchen units that share a name with a US one.
var (
	ImperialFluidOunce = unit("imp fl oz", Volume, "454609/16000", "imperial fluid ounce", "imperial fluid ounces")
	ImperialPint       = unit("imp pint", Volume, "454609/800", "imperial pint", "imperial pints")
	ImperialQuart      = unit("imp quart", Volume, "454609/400", "imperial quart", "imperial quarts")
	ImperialGallon     = unit("imp gallon", Volume, "454609/100", "imperial gallon", "imperial gallons")
	MetricCup          = unit("metric cup", Volume, "250", "metric cup", "metric cups")
)

// Units of length, in centimetres.
var (
	Centimetre = unit("cm", Length, "1", "cm", "centimetre", "centimetres", "centimeter", "centimeters")
	Millimetre = unit("mm", Length, "1/10", "mm", "millimetre", "millimetres", "millimeter", "millimeters")
	Metre      = unit("m", Length, "100", "metre", "metres", "meter", "meters")
	Inch       = unit("in", Length, "2.54", "inch", "inches")
	Foot       = unit("ft", Length, "30.48", "ft", "foot", "feet")
	Yard       = unit("yd", Length, "91.44", "yd", "yds", "yard", "yards")
)

// The two scales of temperature; their sizes are not factors, see Quantity.In.
var (
	Celsius    = &Unit{Name: "C", Dim: Temperature, Words: []string{"c", "celsius", "centigrade"}}
	Fahrenheit = &Unit{Name: "F", Dim: Temperature, Words: []string{"f", "fahrenheit"}}
)

// Units lists every unit, the reading preferred by US households first where
// two share a word.
var Units = []*Unit{
	Gram, Kilogram, Milligram, Ounce, Pound, Stone,
	Millilitre, Centilitre, Decilitre, Litre,
	Teaspoon, Tablespoon, Cup, FluidOunce, Gill, Pint, Quart, Gallon, CubicInch,
	ImperialFluidOunce, ImperialPint, ImperialQuart, ImperialGallon, MetricCup,
	Centimetre, Millimetre, Metre, Inch, Foot, Yard,
	Celsius, Fahrenheit,
}

// Imperial returns the imperial unit that shares its name with a US unit, or
// the unit itself when there is no such pair.
func Imperial(u *Unit) *Unit {
	switch u {
	case FluidOunce:
		return ImperialFluidOunce
	case Pint:
		return ImperialPint
	case Quart:
		return ImperialQuart
	case Gallon:
		return ImperialGallon
	}
	return u
}
