package main

import (
	"encoding/json"
	"fmt"

	"strokeledger/internal/desk/body"
	"strokeledger/internal/pose"
)

type jointsCmd struct {
	Clip  string `arg:"" help:"Media file." type:"path"`
	Frame []int  `required:"" help:"Frame number, from 0; may be given again." sep:"none"`
	JSON  bool   `help:"Print one JSON object."`
}

type peopleJSON struct {
	Frame  int          `json:"frame"`
	People []personJSON `json:"people"` // the one lowest in the picture first
}

type personJSON struct {
	Score  float64     `json:"score"` // 0.6 to 1: that somebody is there
	Joints []jointJSON `json:"joints"`
}

type jointJSON struct {
	Place      string  `json:"place"`
	X          float64 `json:"x"` // display pixels, 0.5 the centre of the first
	Y          float64 `json:"y"`
	Visibility float64 `json:"visibility"`
}

// Run prints the joints of the people in frames of a file; no library is needed.
func (j *jointsCmd) Run(c *command) error {
	progress := newBar(c.say)
	seen, err := body.Joints(c.ctx, j.Clip, j.Frame, func(done int) { progress.show(done, len(j.Frame), "finding joints") })
	progress.end()
	if err != nil {
		return err
	}
	out := struct {
		Frames []peopleJSON `json:"frames"`
	}{[]peopleJSON{}}
	for _, s := range seen {
		frame := peopleJSON{s.Frame, []personJSON{}}
		for _, p := range s.People {
			frame.People = append(frame.People, personOf(p))
		}
		out.Frames = append(out.Frames, frame)
	}
	if j.JSON {
		e := json.NewEncoder(c.out)
		e.SetIndent("", " ")
		return e.Encode(out)
	}
	for _, f := range out.Frames {
		if len(f.People) == 0 {
			fmt.Fprintf(c.out, "frame %d: nobody is found\n", f.Frame)
		}
		for i, p := range f.People {
			fmt.Fprintf(c.out, "frame %d, person %d of %d, score %.2f\n%10s %10s %11s  %s\n", f.Frame, i+1, len(f.People), p.Score, "x", "y", "visibility", "place")
			for _, j := range p.Joints {
				fmt.Fprintf(c.out, "%10.1f %10.1f %11.2f  %s\n", j.X, j.Y, j.Visibility, j.Place)
			}
		}
	}
	return nil
}

func personOf(p pose.Person) personJSON {
	out := personJSON{Score: round(p.Score, 1e3)}
	for i, j := range p.Joints {
		out.Joints = append(out.Joints, jointJSON{pose.Place(i).String(), round(j.X, 1e2), round(j.Y, 1e2), round(j.Visibility, 1e3)})
	}
	return out
}
