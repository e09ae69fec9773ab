package exchange

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"time"

	"strokeledger/internal/clip"
	"strokeledger/internal/club"
	"strokeledger/internal/desk/footage"
	"strokeledger/internal/desk/relink"
	"strokeledger/internal/merge"
	"strokeledger/internal/report/record"
)

// Preview is what taking a file in comes to.
type Preview struct {
	File    string        `json:"file"`
	Made    time.Time     `json:"made"`  // when it was written
	Names   bool          `json:"names"` // with full names
	Tables  []merge.Count `json:"tables"`
	Items   []merge.Item  `json:"items"` // at most mostItems
	More    int           `json:"more"`  // items that are not listed
	Doubts  []merge.Doubt `json:"doubts"`
	Open    int           `json:"open"`    // questions without an answer
	Left    []string      `json:"left"`    // what cannot be placed, by name: it stays in the file
	Notes   []string      `json:"notes"`   // sentences on what else is to know
	Missing []string      `json:"missing"` // clips that come in and whose films are not on this computer
	Films   int           `json:"films"`   // films beside the file
	Nothing bool          `json:"nothing"` // nothing would change
}

// mostItems is how many changes a preview lists.
const mostItems = 500

// work is a file with what taking it in comes to.
type work struct {
	record record.Record
	ours   merge.State
	now    merge.Stamp
	plan   merge.Plan
	late   int64 // the latest moment that the file tells
	gap    bool  // an earlier file was not taken in
}

// Preview tells what taking a file in would come to, with answers to the questions that
// it asks, by their keys. Nothing is changed.
func (x *Exchange) Preview(ctx context.Context, file string, choices map[string]string) (Preview, error) {
	w, err := x.work(ctx, file, choices)
	if err != nil {
		return Preview{}, err
	}
	return x.preview(ctx, file, w)
}

// Take takes a file in, as one change that can be undone, once every question has its
// answer. Where folder is not empty, films that lie beside the file are copied there
// first; progress is told how much of them, from 0 to 1, and may be nil.
func (x *Exchange) Take(ctx context.Context, file string, choices map[string]string, folder string, progress func(float64)) (Preview, error) {
	w, err := x.work(ctx, file, choices)
	if err != nil {
		return Preview{}, err
	}
	if n := w.plan.Open(); n > 0 {
		return Preview{}, &club.Problem{Field: "choices", Say: fmt.Sprintf("%d questions have no answer yet: answer them, then take the file in.", n)}
	}
	var films map[string]string
	if folder != "" {
		if films, err = copyIn(ctx, w.record.Films, file, folder, progress); err != nil {
			return Preview{}, err
		}
		if err := w.lieAt(films); err != nil {
			return Preview{}, err
		}
	}
	shown, err := x.preview(ctx, file, w)
	if err != nil {
		return Preview{}, err
	}
	taken := merge.Taken{ID: w.record.Until, File: filepath.Base(file)}
	if len(w.plan.Left) > 0 {
		taken.ID = "" // its rest may be taken in some day
	}
	if _, err := x.lib.TakeIn(ctx, w.now, w.ours, taken, w.plan.Writes); err != nil {
		return Preview{}, err
	}
	return shown, x.settle(ctx, w, films)
}

// settle sees to what lies beside the rows: films and how they sound, and who stands for
// the forgotten.
func (x *Exchange) settle(ctx context.Context, w work, films map[string]string) error {
	for print, sound := range w.record.Sounds {
		if err := x.keepSound(ctx, print, sound); err != nil {
			return err
		}
	}
	for print, path := range films {
		if print == "" { // of no film
			continue
		}
		row, there, err := x.lib.ClipByFingerprint(ctx, print)
		if err != nil {
			return err
		}
		if there && !x.place.InPlace(row) {
			row.Path = path
			if err := x.lib.Amend(ctx, "found "+row.Name+" again", row); err != nil {
				return err
			}
		}
	}
	for _, r := range w.plan.Writes {
		if r.Table == "clip" {
			x.footage.Replaced(r.ID)
		}
	}
	former, err := x.lib.FormerPlayer(ctx)
	if err != nil || former != "" || w.record.Former == "" {
		return err
	}
	return x.lib.SetFormerPlayer(ctx, w.record.Former)
}

// keepSound keeps how a film sounds that we have; what was heard here is not taken from a
// file.
func (x *Exchange) keepSound(ctx context.Context, print string, sound []byte) error {
	_, there, err := x.lib.ClipByFingerprint(ctx, print)
	if err != nil || !there || print == "" {
		return err
	}
	if _, known, err := x.lib.SoundPrint(ctx, print); err != nil || known {
		return err
	}
	return x.lib.PutSoundPrint(ctx, print, sound)
}

// lieAt lets the clips that come in lie where their films were copied to.
func (w *work) lieAt(films map[string]string) error {
	for i, r := range w.plan.Writes {
		if r.Table != "clip" || r.Gone {
			continue
		}
		var c club.Clip
		if err := json.Unmarshal(r.Image, &c); err != nil {
			return err
		}
		path, ok := films[c.Fingerprint]
		if !ok || slices.ContainsFunc(w.ours.Side["clip"], func(o merge.Row) bool { return o.ID == r.ID && !o.Gone }) {
			continue
		}
		c.Path = path
		image, err := json.Marshal(c)
		if err != nil {
			return err
		}
		w.plan.Writes[i].Image = image
	}
	return nil
}

// work reads a file and works out what taking it in comes to.
func (x *Exchange) work(ctx context.Context, file string, choices map[string]string) (w work, err error) {
	if w.record, err = Read(file); err != nil {
		return w, err
	}
	former, err := x.lib.FormerPlayer(ctx)
	if err != nil {
		return w, err
	}
	forgotten, err := x.lib.Setting(ctx, merge.SettingForgotten)
	if err != nil {
		return w, err
	}
	coach, err := x.lib.Coach(ctx)
	if err != nil {
		return w, err
	}
	assumeLooks(&w.record)
	theirs, late, err := w.record.Side()
	if err != nil {
		return w, err
	}
	w.late = late
	o := merge.Options{
		Choices: choices, Told: w.record.Names, OurFormer: former, TheirFormer: w.record.Former, Partial: true,
		Forgotten: merge.Forgotten(forgotten).Has,
		Alike:     x.alike(ctx, w.record.Sounds),
		Film:      x.film(ctx),
	}
	wanted, err := x.wanted(ctx, theirs, w.record.Since)
	if err != nil {
		return w, err
	}
	for {
		if w.ours, err = x.lib.Work(ctx, wanted); err != nil {
			return w, err
		}
		w.gap = w.record.Since != "" && !w.ours.Knows
		w.now = merge.Stamp{Clock: max(w.ours.Clock, w.late, x.lib.Now().UnixMicro()-1) + 1, Author: coach}
		o.Now = w.now
		brings, err := withoutKnown(theirs, w.ours.Side)
		if err != nil {
			return w, err
		}
		if w.plan, err = merge.Bring(w.ours.Side, brings, o); err != nil {
			return w, err
		}
		if !w.plan.Whole || wanted.All {
			return w, nil
		}
		wanted.All, o.Partial = true, false
	}
}

// wanted says which rows of our library a file has to do with.
func (x *Exchange) wanted(ctx context.Context, theirs merge.Side, since club.ID) (merge.Selection, error) {
	s := merge.Selection{Known: since}
	prints, lengths, on := map[string]bool{}, []float64{}, map[club.ID]bool{}
	clips, err := clipsOf(theirs)
	if err != nil {
		return s, err
	}
	for _, c := range clips {
		on[c.ID], prints[c.Fingerprint], lengths = true, true, append(lengths, c.Seconds)
	}
	slices.Sort(lengths)
	own, err := x.lib.Clips(ctx)
	if err != nil {
		return s, err
	}
	for _, c := range own {
		i, _ := slices.BinarySearch(lengths, c.Seconds-1)
		if prints[c.Fingerprint] || i < len(lengths) && math.Abs(lengths[i]-c.Seconds) <= 1 {
			on[c.ID] = true
		}
	}
	for _, r := range theirs["same"] {
		var same merge.Same
		if json.Unmarshal(r.Image, &same) == nil && same.Table == "clip" {
			on[same.Given], on[same.Keep] = true, true
		}
	}
	first, err := x.lib.Work(ctx, merge.Selection{})
	if err != nil {
		return s, err
	}
	for _, r := range first.Side["same"] {
		var same merge.Same
		if json.Unmarshal(r.Image, &same) == nil && (on[same.Given] || on[same.Keep]) {
			on[same.Given], on[same.Keep] = true, true
		}
	}
	s.Clips = slices.Collect(maps.Keys(on))
	for _, rows := range theirs {
		for _, r := range rows {
			s.IDs = append(s.IDs, r.ID)
		}
	}
	for _, r := range append(first.Side["same"], theirs["same"]...) { // entries that we keep under another ID
		var same merge.Same
		if json.Unmarshal(r.Image, &same) == nil {
			s.IDs = append(s.IDs, same.Keep)
		}
	}
	return s, nil
}

func clipsOf(side merge.Side) ([]club.Clip, error) {
	all := make([]club.Clip, len(side["clip"]))
	for i, r := range side["clip"] {
		if err := json.Unmarshal(r.Image, &all[i]); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// alike says by their sound prints whether two films sound the same.
func (x *Exchange) alike(ctx context.Context, sounds map[string][]byte) func(ours, theirs club.Clip) bool {
	return func(ours, theirs club.Clip) bool {
		mine, ok, err := x.lib.SoundPrint(ctx, ours.Fingerprint)
		return err == nil && ok && relink.SoundsAlike(mine, sounds[theirs.Fingerprint])
	}
}

// film knows the pictures of a clip by the list that is kept of them, or takes them to
// stand equally long.
func (x *Exchange) film(ctx context.Context) func(club.Clip) merge.Film {
	return func(c club.Clip) merge.Film {
		data, ok, err := x.lib.Index(ctx, c.Fingerprint)
		ix := new(clip.Index)
		if err != nil || !ok || ix.UnmarshalBinary(data) != nil {
			return merge.Even{Clip: c}
		}
		return pictures{ix}
	}
}

type pictures struct{ *clip.Index }

func (p pictures) Nearest(seconds float64) (frame int, ticks int64) {
	frame = footage.Nearest(p.Index, seconds)
	return frame, p.Ticks(frame)
}

// preview tells of a plan.
func (x *Exchange) preview(ctx context.Context, file string, w work) (Preview, error) {
	p := Preview{File: file, Made: w.record.Origin.Made, Names: w.record.Names, Tables: w.plan.Tables, Doubts: w.plan.Doubts, Open: w.plan.Open(),
		Left: w.plan.Left, Notes: w.notes(x.lib.Now()), Films: len(w.record.Films), Nothing: len(w.plan.Writes) == 0, Missing: []string{}}
	p.Items = w.plan.Items[:min(mostItems, len(w.plan.Items))]
	p.More = len(w.plan.Items) - len(p.Items)
	were := map[club.ID]bool{}
	for _, r := range w.ours.Side["clip"] {
		were[r.ID] = !r.Gone
	}
	var in []club.Clip
	for _, r := range w.plan.Writes {
		var c club.Clip
		if r.Table != "clip" || r.Gone || were[r.ID] {
			continue
		}
		if err := json.Unmarshal(r.Image, &c); err != nil {
			return p, err
		}
		in = append(in, c)
	}
	missing, err := x.place.Missing(ctx, in)
	if err != nil {
		return p, err
	}
	for _, c := range in {
		if _, ok := missing[c.ID]; ok {
			p.Missing = append(p.Missing, c.Name)
		}
	}
	slices.Sort(p.Missing)
	return p, nil
}

// clockAhead is by how much another computer's clock may be ahead before it is told.
const clockAhead = time.Hour

func (w work) notes(now time.Time) []string {
	notes := slices.Clone(w.plan.Notes)
	if ahead := time.UnixMicro(w.late).Sub(now); ahead > clockAhead {
		notes = append(notes, fmt.Sprintf("The clock of a computer that this work went through is %s ahead of this one: what was changed there wins until then.", ahead.Round(time.Hour)))
	}
	if w.record.Changed == nil {
		notes = append(notes, "The file is of an older version, which did not tell when things were changed: where both have a row, yours stays.")
	}
	if !w.record.Names {
		notes = append(notes, "The file goes without names: players and coaches that are new here come in by alias or initials, and no name or note of yours changes.")
	}
	if w.gap {
		notes = append(notes, "A file that was handed over before this one was not taken in here: take that one in too, or ask for everything.")
	}
	return notes
}
