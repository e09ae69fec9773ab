package reel

import (
	"image"

	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// draw writes a line that begins at x, with its base line at y.
func (l line) draw(img *image.RGBA, x, y int) {
	// Letters reach no further than that from the base line.
	band := image.Rect(img.Rect.Min.X, y-2*l.ink.size, img.Rect.Max.X, y+l.ink.size).Intersect(img.Rect)
	if band.Empty() {
		return
	}
	ink := image.NewUniform(l.ink.colour)
	at := fixed.P(x, y).Sub(fixed.P(band.Min.X, band.Min.Y))
	for _, run := range l.runs {
		r := vector.NewRasterizer(band.Dx(), band.Dy())
		for _, g := range run.Glyphs {
			trace(r, run, g, at)
			at.X += g.Advance
		}
		r.Draw(img, band, ink, image.Point{})
	}
}

// trace adds the outline of a glyph to what is to be filled. A glyph without one,
// as a picture in colours, leaves its place empty.
func trace(r *vector.Rasterizer, run shaping.Output, g shaping.Glyph, at fixed.Point26_6) {
	outline, ok := run.Face.GlyphDataOutline(g.GlyphID)
	if !ok {
		return
	}
	scale := float32(run.Size) / 64 / float32(run.Face.Upem())
	x0, y0 := float32(at.X+g.XOffset)/64, float32(at.Y-g.YOffset)/64
	point := func(p opentype.SegmentPoint) (x, y float32) { return x0 + p.X*scale, y0 - p.Y*scale }
	for _, s := range outline.Segments {
		ax, ay := point(s.Args[0])
		bx, by := point(s.Args[1])
		cx, cy := point(s.Args[2])
		switch s.Op {
		case opentype.SegmentOpMoveTo:
			r.ClosePath()
			r.MoveTo(ax, ay)
		case opentype.SegmentOpLineTo:
			r.LineTo(ax, ay)
		case opentype.SegmentOpQuadTo:
			r.QuadTo(ax, ay, bx, by)
		case opentype.SegmentOpCubeTo:
			r.CubeTo(ax, ay, bx, by, cx, cy)
		}
	}
	r.ClosePath()
}
