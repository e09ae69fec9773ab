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
	ink := image.NewUniform(l.ink.colour)
	var r vector.Rasterizer
	at := fixed.P(x, y)
	for _, run := range l.runs { // as a whole, so that no seam shows between joined letters
		box := reach(run, at).Intersect(img.Rect)
		r.Reset(box.Dx(), box.Dy())
		for _, g := range run.Glyphs {
			outline(&r, run, g, at.Sub(fixed.P(box.Min.X, box.Min.Y)))
			at.X += g.Advance
		}
		r.Draw(img, box, ink, image.Point{})
	}
}

// reach is how far a run that begins there reaches.
func reach(run shaping.Output, at fixed.Point26_6) image.Rectangle {
	var all fixed.Rectangle26_6
	for _, g := range run.Glyphs {
		corner := at.Add(fixed.Point26_6{X: g.XOffset + g.XBearing, Y: -g.YOffset - g.YBearing})
		all = all.Union(fixed.Rectangle26_6{Min: corner, Max: corner.Add(fixed.Point26_6{X: g.Width, Y: -g.Height})})
		at.X += g.Advance
	}
	return image.Rect(all.Min.X.Floor(), all.Min.Y.Floor(), all.Max.X.Ceil(), all.Max.Y.Ceil()).Inset(-1)
}

// outline adds the outline of a glyph to what is to be filled. A glyph without one,
// as a picture in colours, leaves its place empty.
func outline(r *vector.Rasterizer, run shaping.Output, g shaping.Glyph, at fixed.Point26_6) {
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
