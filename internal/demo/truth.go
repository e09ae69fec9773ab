package demo

import (
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"io"
	"math"

	"strokeledger/internal/club"
	"strokeledger/internal/timecode"
)

// Truth is what truth.json holds: everything that happened in the clips. Places
// are metres in the hall (see Vec), pixels are counted with the centre of the
// first pixel at 0.5, seconds and frames are clip time.
type Truth struct {
	Version int         `json:"version"` // 2
	Seed    int64       `json:"seed"`
	Club    string      `json:"club"`
	Table   truthTable  `json:"table"`
	Joints  []string    `json:"joints"` // names, in the order of every figure's data
	Clips   []TruthClip `json:"clips"`
	Limits  truthLimits `json:"limits"`
	Slips   []slip      `json:"slips"` // where the marks in the ledger depart from the truth
}

// truthTable is the table's size, metres.
type truthTable struct {
	Length    float64 `json:"length"`
	Width     float64 `json:"width"`
	Height    float64 `json:"height"`
	NetHeight float64 `json:"net_height"` // above the surface
}

// truthLimits say when a stroke has a fault. Strokes lie on both sides of each limit,
// as close as they come; within grey of it coaches differ.
type truthLimits struct {
	Feet      float64 `json:"feet_line_m"` // nearer is CLOSE
	FeetGrey  float64 `json:"feet_line_grey_m"`
	Elbow     float64 `json:"elbow_degrees"` // more is ELBOW
	ElbowGrey float64 `json:"elbow_grey_degrees"`
	// Back is LATE where balls are fed, or no ball comes back: a share of the gap. Else
	// the limit is the partner's contact. Either way it is a stroke's Latest.
	Back     float64 `json:"back_share"`
	BackGrey float64 `json:"back_grey_share"`
}

// TruthClip is one clip.
type TruthClip struct {
	File      string         `json:"file"`
	ClipID    club.ID        `json:"clip_id"`
	SessionID club.ID        `json:"session_id"`
	Date      club.Date      `json:"date"`
	Width     int            `json:"width"`
	Height    int            `json:"height"`
	Frames    int            `json:"frames"`
	Picture   timecode.Base  `json:"picture"` // seconds a picture
	Base      timecode.Base  `json:"base"`    // seconds a tick of the file
	Camera    TruthCamera    `json:"camera"`
	Corners   [4][2]float64  `json:"table_corners"` // outer corners in the first picture, in the order of Corners
	Turns     []TruthTurn    `json:"turns"`
	Strokes   []TruthStroke  `json:"strokes"`  // the near players', in order of time
	Faults    []truthFault   `json:"faults"`   // in order of stroke
	Contacts  []TruthContact `json:"contacts"` // in order of time
	Figures   []TruthFigure  `json:"figures"`
	Empty     bool           `json:"bare"` // nothing of this clip is in the ledger
	Balls     int            `json:"balls"`
	// Moved is the camera of each picture from which on it differs from that of the
	// picture before, in order; null where the camera stands still. CameraAt reads it.
	Moved []truthMove `json:"camera_moved"`
	// TableHeight is that of this clip's surface, metres: TableHeight of the laws but
	// for a table that is set up wrong.
	TableHeight float64 `json:"table_height"`
}

// TruthTurn is one player's turn.
type TruthTurn struct {
	TurnID   club.ID `json:"turn_id"` // empty in a clip without turns
	PlayerID club.ID `json:"player_id"`
	Player   string  `json:"player"`
	DrillID  club.ID `json:"drill_id"`
	Drill    string  `json:"drill"`
	First    int     `json:"first"`
	Last     int     `json:"last"`
	Logged   bool    `json:"strokes_logged"` // its strokes are in the ledger
	// LookedFor are the codes that a coach has looked through it for; empty: nobody
	// has looked at it.
	LookedFor []string `json:"looked_for"`
}

// TruthStroke is one stroke of a near player. The measures are what the faults
// are about.
type TruthStroke struct {
	Turn    int          `json:"turn"`
	Seconds float64      `json:"seconds"` // of the racket's contact
	Frame   int          `json:"frame"`   // the picture nearest to it
	Side    club.Side    `json:"side"`
	Outcome club.Outcome `json:"outcome"`
	// EndLine is from the hips to the near end line at contact.
	EndLine float64 `json:"end_line_m"`
	// Elbow is the height of the racket arm's elbow below its shoulder at contact.
	Elbow float64 `json:"elbow_drop_m"`
	// Ready is the height of the racket's centre above the floor at ReadyAt, two
	// fifths of the gap after the contact.
	ReadyAt float64 `json:"ready_seconds"`
	Ready   float64 `json:"racket_up_m"`
	// Recovered is when the hand is back: the racket's centre comes within 0.20 m, for a
	// body of 1.65 m, of its place in the ready position, seen from the hips, to stay
	// there; an arm that falls may pass it before. Answer is when the
	// partner's next contact is heard. Each is null where it does not come before the next stroke.
	Recovered *float64 `json:"recovered_seconds"`
	Answer    *float64 `json:"answer_seconds"`
	// Latest is the moment after which a hand that comes back is late.
	Latest float64 `json:"latest_seconds"`
	// Hips is the height of the hip joints at contact for a body of 1.65 m.
	Hips float64 `json:"hips_m"`
	// Back is how far behind the hips the racket's centre is 0.18 s before contact.
	Back float64 `json:"racket_back_m"`
	// Feet are the right and the left foot at contact, seen in its picture, and FeetLine is from the
	// middle of their soles to the near end line: positive behind the table.
	Feet     [2]truthFoot `json:"feet"`
	FeetLine float64      `json:"feet_line_m"`
	// ElbowAngle is between the racket arm's upper arm and straight down at contact,
	// degrees: 0 it hangs, 90 it is level.
	ElbowAngle float64 `json:"elbow_degrees"`
	// Trunk is from the middle of the shoulders to that of the hips at contact.
	Trunk float64 `json:"trunk_m"`
	// Gap is the time to the player's next stroke, 1.3 s at most, and 0.9 s for a turn's
	// last. BackShare is Recovered as a share of it; null where that is.
	Gap       float64  `json:"gap_seconds"`
	BackShare *float64 `json:"back_share"`
}

// truthFault is one fault that was acted out.
type truthFault struct {
	Stroke  int     `json:"stroke"` // index into strokes
	Code    string  `json:"code"`
	FaultID club.ID `json:"fault_id"`
	Seconds float64 `json:"seconds"` // when it is plain to see
	Frame   int     `json:"frame"`
}

// TruthContact is one sound of the ball.
type TruthContact struct {
	Seconds      float64     `json:"seconds"` // when it happened
	SoundArrives float64     `json:"heard"`   // when its sound reaches the camera, at 343 m/s
	Frame        int         `json:"frame"`   // the picture nearest to when it happened
	Kind         string      `json:"kind"`    // "racket", "bounce" or "other"
	Who          string      `json:"who"`     // "near", "far" or ""
	Ball         int         `json:"ball"`
	Stroke       int         `json:"stroke"` // index into strokes, -1 for all but near rackets
	At           [3]float64  `json:"at"`     // centre of the ball
	Seen         []truthSpot `json:"seen"`   // the ball in the pictures from two before to two after
}

// truthSpot is a ball in a picture.
type truthSpot struct {
	Frame  int     `json:"frame"`
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Radius float64 `json:"radius"` // pixels
}

// TruthFigure is one person's joints over a stretch of pictures.
type TruthFigure struct {
	Near   bool `json:"near"`
	Turn   int  `json:"turn"`   // index into turns, -1 for the partner and a passer
	Passer bool `json:"passer"` // somebody who walks by and plays nothing
	First  int  `json:"first"`
	Frames int  `json:"frames"`
	// Data is base64 of little-endian 16-bit millimetres: for each picture each
	// joint's x, y, z. Positions decodes it.
	Data string `json:"joints_mm"`
}

// Truth gathers the truth of all clips.
func (c Club) Truth() Truth {
	t := Truth{Version: 2, Seed: c.Seed, Club: c.Name, Joints: jointNames(), Slips: c.Slips,
		Table:  truthTable{TableLength, TableWidth, TableHeight, NetHeight},
		Limits: truthLimits{Feet: nearLimit, FeetGrey: nearGrey, Elbow: elbowLimit, ElbowGrey: elbowGrey, Back: lateLimit, BackGrey: lateGrey}}
	codes := map[way]club.Fault{}
	for _, f := range c.Catalogue.Faults {
		if w, ok := acted()[f.Code]; ok {
			codes[w] = f
		}
	}
	names := map[club.ID]string{}
	for _, f := range c.Catalogue.Faults {
		names[f.ID] = f.Code
	}
	for _, p := range c.Catalogue.Players {
		names[p.ID] = p.Name
	}
	for _, s := range c.Scenes {
		t.Clips = append(t.Clips, s.truth(codes, names))
	}
	return t
}

// WriteTruth writes the truth as JSON.
func (c Club) WriteTruth(w io.Writer) error {
	return json.NewEncoder(w).Encode(c.Truth())
}

func (s *Scene) truth(codes map[way]club.Fault, names map[club.ID]string) TruthClip {
	c := s.Camera
	t := TruthClip{File: s.File, ClipID: s.ClipID, SessionID: s.SessionID, Date: s.Date, Width: Width, Height: Height,
		Frames: s.Frames, Picture: PictureBase(), Base: s.Base, Balls: len(s.Balls), Empty: len(s.Turns) == 0,
		Camera: truthCamera(c), TableHeight: s.Table}
	for n := 1; n < s.Frames; n++ {
		if now := s.CameraAt(s.Seconds(n)); now != s.CameraAt(s.Seconds(n-1)) {
			t.Moved = append(t.Moved, truthMove{n, truthCamera(now)})
		}
	}
	for i, p := range Corners() {
		p.Z = s.Table
		x, y, _ := c.Project(p)
		t.Corners[i] = [2]float64{round(x, 3), round(y, 3)}
	}
	for n, a := range s.acts {
		t.Turns = append(t.Turns, TruthTurn{TurnID: a.turn.ID, PlayerID: a.turn.PlayerID, Player: names[a.turn.PlayerID],
			DrillID: a.drill.ID, Drill: a.drill.Name, First: a.turn.First, Last: a.turn.Last, Logged: !a.empty && !a.unheard, LookedFor: s.lookedFor(a.turn, names)})
		for i, d := range a.strokes {
			for _, w := range d.faults {
				seen := a.seen(i, w)
				t.Faults = append(t.Faults, truthFault{Stroke: len(t.Strokes), Code: codes[w].Code, FaultID: codes[w].ID,
					Seconds: round(seen, 5), Frame: s.Frame(seen)})
			}
			t.Strokes = append(t.Strokes, s.measure(n, i))
		}
	}
	for _, k := range s.Contacts {
		t.Contacts = append(t.Contacts, s.truthOf(k))
	}
	for i := range s.Actors {
		turn := -1
		for n, a := range s.acts {
			if a.actor == i {
				turn = n
			}
		}
		t.Figures = append(t.Figures, s.figure(&s.Actors[i], turn))
	}
	return t
}

// lookedFor are the codes that a turn was looked through for.
func (s *Scene) lookedFor(t club.Turn, names map[club.ID]string) []string {
	codes := []string{}
	for _, l := range s.Looks {
		if l.Covers(t.First) {
			for _, f := range l.Faults {
				codes = append(codes, names[f])
			}
		}
	}
	return codes
}

// measure takes a stroke's measures from the figure that plays it.
func (s *Scene) measure(turn, n int) TruthStroke {
	d := s.acts[turn].strokes[n]
	readyAt := s.acts[turn].seen(n, late)
	a := &s.Actors[s.acts[turn].actor]
	hit, back, after := a.Figure(d.t), a.Figure(d.t-0.18), a.Figure(readyAt)
	shoulder, elbow := RightShoulder, RightElbow
	if a.Left {
		shoulder, elbow = LeftShoulder, LeftElbow
	}
	moment := func(t float64, ok bool) *float64 {
		if !ok {
			return nil
		}
		t = round(t, 3)
		return &t
	}
	share := func(back *float64) *float64 {
		if back == nil {
			return nil
		}
		v := round((*back-d.t)/s.acts[turn].room(n), 4)
		return &v
	}
	recovered := moment(s.recovered(&s.acts[turn], n))
	middle := hit.Joints[RightSole].To(hit.Joints[LeftSole], 0.5)
	return TruthStroke{Turn: turn, Seconds: round(d.t, 5), Frame: s.Frame(d.t), Side: d.side, Outcome: d.outcome(), ReadyAt: round(readyAt, 5),
		EndLine:   round(-hit.Joints[Pelvis].X, 3),
		Elbow:     round(hit.Joints[shoulder].Z-hit.Joints[elbow].Z, 3),
		Ready:     round(after.Joints[Racket].Z, 3),
		Hips:      round((hit.Joints[RightHip].Z+hit.Joints[LeftHip].Z)/2/hit.Scale, 3),
		Back:      round(back.Joints[Pelvis].Sub(back.Joints[Racket]).Dot(back.Forward), 3),
		Recovered: recovered, Latest: round(d.t+s.latest(&s.acts[turn], n), 5),
		Answer:   moment(s.answered(&s.acts[turn], n)),
		Feet:     [2]truthFoot{s.foot(hit, d.t, RightHeel), s.foot(hit, d.t, LeftHeel)},
		FeetLine: round(-middle.X, 4),
		Trunk:    round(hit.Joints[RightShoulder].To(hit.Joints[LeftShoulder], 0.5).Sub(hit.Joints[RightHip].To(hit.Joints[LeftHip], 0.5)).Length(), 4),
		Gap:      round(s.acts[turn].room(n), 5), BackShare: share(recovered),
		ElbowAngle: round(hit.ElbowAngle(), 2)}
}

func (s *Scene) truthOf(k Contact) TruthContact {
	t := TruthContact{Seconds: round(k.Seconds, 5), SoundArrives: round(s.SoundArrives(k), 5), Frame: s.Frame(k.Seconds), Kind: k.Kind, Who: k.Who,
		Ball: k.Ball, Stroke: k.Stroke, At: k.At.array()}
	for n := max(0, t.Frame-2); n <= min(t.Frame+2, s.Frames-1); n++ {
		if p, ok := s.Balls[k.Ball].Place(s.Seconds(n)); ok {
			x, y, depth := s.CameraAt(s.Seconds(n)).Project(p)
			t.Seen = append(t.Seen, truthSpot{n, round(x, 2), round(y, 2), round(s.Camera.Focal*BallRadius/depth, 2)})
		}
	}
	return t
}

func (s *Scene) figure(a *Actor, turn int) TruthFigure {
	first := s.Frame(math.Ceil(a.From*Rate) / Rate)
	last := s.Frame(math.Floor(a.To*Rate) / Rate)
	raw := make([]byte, 0, (last-first+1)*JointCount*6)
	for n := first; n <= last; n++ {
		for _, j := range a.Figure(s.Seconds(n)).Joints {
			for _, v := range []float64{j.X, j.Y, j.Z} {
				raw = binary.LittleEndian.AppendUint16(raw, uint16(int16(math.Round(v*1000))))
			}
		}
	}
	return TruthFigure{Near: a.Near, Turn: turn, Passer: a.Passer, First: first, Frames: last - first + 1, Data: base64.StdEncoding.EncodeToString(raw)}
}

// Positions decodes the joints of every picture, metres.
func (f TruthFigure) Positions() ([][JointCount]Vec, error) {
	raw, err := base64.StdEncoding.DecodeString(f.Data)
	if err != nil {
		return nil, err
	}
	all := make([][JointCount]Vec, f.Frames)
	if len(raw) != len(all)*JointCount*6 {
		return nil, io.ErrUnexpectedEOF
	}
	for n := range all {
		for j := range all[n] {
			at := (n*JointCount + j) * 6
			part := func(i int) float64 { return float64(int16(binary.LittleEndian.Uint16(raw[at+2*i:]))) / 1000 }
			all[n][j] = Vec{part(0), part(1), part(2)}
		}
	}
	return all, nil
}

func exact(v Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
