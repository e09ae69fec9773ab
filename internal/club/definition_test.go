package club

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCoachRules(t *testing.T) {
	for name, field := range map[string]string{"Kim": "-", "": "name", " \t": "name", strings.Repeat("é", MaxName): "-", strings.Repeat("é", MaxName+1): "name"} {
		requireProblem(t, field, Coach{Name: name}.Check(), name)
	}
}

func TestPlayerRules(t *testing.T) {
	good := Player{Name: "Ana", Hand: RightHand}
	for name, c := range map[string]struct {
		change func(*Player)
		field  string
	}{
		"good":         {func(*Player) {}, "-"},
		"left":         {func(p *Player) { p.Hand = LeftHand }, "-"},
		"any text":     {func(p *Player) { p.Name = `<img src=x onerror=1>"; DROP TABLE` }, "-"},
		"no name":      {func(p *Player) { p.Name = " " }, "name"},
		"no hand":      {func(p *Player) { p.Hand = "" }, "hand"},
		"other hand":   {func(p *Player) { p.Hand = "both" }, "hand"},
		"long alias":   {func(p *Player) { p.Alias = strings.Repeat("x", MaxName+1) }, "alias"},
		"long group":   {func(p *Player) { p.Group = strings.Repeat("x", MaxName+1) }, "group"},
		"longest note": {func(p *Player) { p.Note = strings.Repeat("x", MaxNote) }, "-"},
		"long note":    {func(p *Player) { p.Note = strings.Repeat("x", MaxNote+1) }, "note"},
	} {
		p := good
		c.change(&p)
		requireProblem(t, c.field, p.Check(), name)
	}
}

func TestDrillRules(t *testing.T) {
	good := Drill{Name: "Diagonal", Method: Regular, Pattern: "FFB", Placement: Diagonal, Ball: Multiball, Rung: 1, Streak: DefaultStreakTarget}
	for name, c := range map[string]struct {
		change func(*Drill)
		field  string
	}{
		"good":            {func(*Drill) {}, "-"},
		"free":            {func(d *Drill) { d.Pattern = "" }, "-"},
		"longest pattern": {func(d *Drill) { d.Pattern = Pattern(strings.Repeat("F", 32)) }, "-"},
		"highest":         {func(d *Drill) { d.Rung, d.Streak = 99, 1000 }, "-"},
		"no name":         {func(d *Drill) { d.Name = "" }, "name"},
		"no method":       {func(d *Drill) { d.Method = "" }, "method"},
		"other method":    {func(d *Drill) { d.Method = "Regular" }, "method"},
		"small letters":   {func(d *Drill) { d.Pattern = "ffb" }, "pattern"},
		"letter inside":   {func(d *Drill) { d.Pattern = "FXB" }, "pattern"},
		"long pattern":    {func(d *Drill) { d.Pattern = Pattern(strings.Repeat("F", 33)) }, "pattern"},
		"other placement": {func(d *Drill) { d.Placement = "wide" }, "placement"},
		"other ball":      {func(d *Drill) { d.Ball = "" }, "ball"},
		"low rung":        {func(d *Drill) { d.Rung = 0 }, "rung"},
		"high rung":       {func(d *Drill) { d.Rung = 100 }, "rung"},
		"no streak":       {func(d *Drill) { d.Streak = 0 }, "streak"},
		"endless streak":  {func(d *Drill) { d.Streak = 1001 }, "streak"},
		"long note":       {func(d *Drill) { d.Note = strings.Repeat("x", MaxNote+1) }, "note"},
	} {
		d := good
		c.change(&d)
		requireProblem(t, c.field, d.Check(), name)
	}
}

func TestFaultRules(t *testing.T) {
	good := Fault{Code: "LATE", Label: "Late return to ready", Phase: Recovery, Sides: BothSides, Weight: 3, Key: "l"}
	for name, c := range map[string]struct {
		change func(*Fault)
		field  string
	}{
		"good":          {func(*Fault) {}, "-"},
		"no key":        {func(f *Fault) { f.Key = "" }, "-"},
		"digit":         {func(f *Fault) { f.Key = "7" }, "-"},
		"other letters": {func(f *Fault) { f.Code, f.Key = "ПОЗДНО", "ж" }, "-"},
		"no code":       {func(f *Fault) { f.Code = "" }, "code"},
		"spaced code":   {func(f *Fault) { f.Code = "LA TE" }, "code"},
		"long code":     {func(f *Fault) { f.Code = "LATERETUR" }, "code"},
		"no label":      {func(f *Fault) { f.Label = "" }, "label"},
		"other phase":   {func(f *Fault) { f.Phase = "serve" }, "phase"},
		"other sides":   {func(f *Fault) { f.Sides = "" }, "sides"},
		"no weight":     {func(f *Fault) { f.Weight = 0 }, "weight"},
		"heavy":         {func(f *Fault) { f.Weight = 4 }, "weight"},
		"capital key":   {func(f *Fault) { f.Key = "L" }, "key"},
		"two keys":      {func(f *Fault) { f.Key = "la" }, "key"},
		"key is a sign": {func(f *Fault) { f.Key = "/" }, "key"},
		"key is space":  {func(f *Fault) { f.Key = " " }, "key"},
		"measured":      {func(f *Fault) { f.Measure = FeetBehind }, "-"},
		"with a limit":  {func(f *Fault) { f.Measure, f.Limit = HandBack, 30.5 }, "-"},
		"other measure": {func(f *Fault) { f.Measure = "knees" }, "measure"},
		"limit alone":   {func(f *Fault) { f.Limit = 30 }, "limit"},
		"far limit":     {func(f *Fault) { f.Measure, f.Limit = FeetBehind, 201 }, "limit"},
		"no limit":      {func(f *Fault) { f.Measure, f.Limit = FeetBehind, -1 }, "limit"},
		"limit unknown": {func(f *Fault) { f.Measure, f.Limit = FeetBehind, math.NaN() }, "limit"},
		"long cue":      {func(f *Fault) { f.Cue = strings.Repeat("x", MaxNote+1) }, "cue"},
	} {
		f := good
		c.change(&f)
		requireProblem(t, c.field, f.Check(), name)
	}
}

func TestPatternRepeats(t *testing.T) {
	var sides []Side
	for i := range 7 {
		sides = append(sides, Pattern("FFB").Side(i))
	}
	require.Equal(t, []Side{Forehand, Forehand, Backhand, Forehand, Forehand, Backhand, Forehand}, sides)
	require.Empty(t, Pattern("").Side(3))
	require.Empty(t, Pattern("F").Side(-1))
}

func TestFaultCouldHaveHappened(t *testing.T) {
	for _, c := range []struct {
		fault Sides
		side  Side
		want  bool
	}{
		{BothSides, Forehand, true}, {BothSides, "", true}, {ForehandOnly, Forehand, true}, {ForehandOnly, Backhand, false},
		{BackhandOnly, Backhand, true}, {BackhandOnly, Forehand, false}, {BackhandOnly, "", true},
	} {
		require.Equal(t, c.want, c.fault.Could(c.side), c)
	}
}
