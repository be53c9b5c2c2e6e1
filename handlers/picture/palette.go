package picture

import (
	"image"
	"image/color"
)

// steps of each colour's edge: more cannot be told apart on a phone.
const steps = 12

// ramps are all colours of a picture: each of the colours fading into each ground.
func ramps() color.Palette {
	out := color.Palette{white, shade, chill}
	for i := 1; i < steps; i++ {
		out = append(out, mixed(white, chill, i), mixed(chill, ink, i))
	}
	for _, c := range []color.RGBA{amber, leaf} {
		for i := 1; i <= steps; i++ {
			out = append(out, mixed(white, c, i))
		}
	}
	for _, c := range []color.RGBA{ink, faint, stroke, signal} {
		for i := 1; i <= steps; i++ {
			out = append(out, mixed(white, c, i))
		}
		for i := 1; i < steps; i++ {
			out = append(out, mixed(shade, c, i))
		}
	}
	return out
}

// mixed is that many steps on the way from a to b.
func mixed(a, b color.RGBA, step int) color.RGBA {
	part := func(a, b uint8) uint8 { return uint8((int(a)*(steps-step) + int(b)*step) / steps) }
	return color.RGBA{part(a.R, b.R), part(a.G, b.G), part(a.B, b.B), 255}
}

// reduced returns the picture with a byte a pixel, which halves the file.
func reduced(img *image.RGBA) *image.Paletted {
	out := image.NewPaletted(img.Rect, ramps())
	known := map[color.RGBA]uint8{}
	last, index := white, uint8(0)
	for i := range out.Pix {
		c := color.RGBA{img.Pix[4*i], img.Pix[4*i+1], img.Pix[4*i+2], 255}
		if c != last {
			at, ok := known[c]
			if !ok {
				at = uint8(out.Palette.Index(c))
				known[c] = at
			}
			last, index = c, at
		}
		out.Pix[i] = index
	}
	return out
}
