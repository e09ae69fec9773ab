package demo

import "strokeledger/internal/club"

// clubName is the invented club's.
const clubName = "Tarnholm Table Tennis Club"

// member is an invented player with what the figure does.
type member struct {
	player club.Player
	look   Look
	miss   float64
	custom custom
	tends  map[way]tendency
}

// members are the five invented players. What each tends to is told in the notes
// and is what a summary should find again.
func members() []member {
	return []member{
		{
			player: club.Player{Name: "Ilka Osei", Hand: club.RightHand, Group: "Tuesday",
				ConsentFrom: "2026-09-01", ConsentUntil: "2027-08-31", ConsentBy: "her mother",
				Note: "Holds the distance while the ball is known; crowds the table when it is not."},
			look:   Look{Height: 1.62, Skin: RGB{141, 96, 66}, Hair: RGB{38, 28, 24}, Shirt: RGB{214, 74, 62}, Short: RGB{42, 46, 58}, Shoes: RGB{236, 236, 232}, Trim: RGB{250, 214, 120}, Cloth: Band, Number: 7, Long: true},
			miss:   0.05,
			custom: custom{0.62, 20},
			tends:  map[way]tendency{tooNear: breaks(0.06, 0.48), late: steady(0.10), elbow: steady(0.04), upright: steady(0.03)},
		},
		{
			player: club.Player{Name: "Tomas Verhaal", Hand: club.RightHand, Group: "Tuesday",
				ConsentFrom: "2026-09-01", ConsentUntil: "2027-08-31", ConsentBy: "his father",
				Note: "The elbow wandered in September; quieter since."},
			look:   Look{Height: 1.70, Skin: RGB{226, 184, 154}, Hair: RGB{150, 104, 58}, Shirt: RGB{66, 122, 196}, Short: RGB{30, 34, 44}, Shoes: RGB{70, 170, 120}, Trim: RGB{226, 236, 246}, Cloth: Hoops},
			miss:   0.06,
			custom: custom{0.65, 27},
			tends:  map[way]tendency{elbow: improves(0.55, 0.12), late: steady(0.07), tooNear: steady(0.05), bigSwing: steady(0.05)},
		},
		{
			player: club.Player{Name: "Anh Lindqvist", Alias: "Player A", Hand: club.LeftHand, Group: "Tuesday",
				ConsentFrom: "2026-09-01", ConsentUntil: "2027-08-31", ConsentBy: "her mother",
				Note: "Left-handed. Late back to ready, most of all in irregular drills."},
			look:   Look{Height: 1.56, Skin: RGB{222, 178, 140}, Hair: RGB{24, 22, 26}, Shirt: RGB{240, 180, 58}, Short: RGB{58, 60, 72}, Shoes: RGB{228, 96, 80}, Trim: RGB{60, 66, 110}, Cloth: Flecks},
			miss:   0.06,
			custom: custom{0.58, 22},
			tends:  map[way]tendency{late: breaks(0.14, 0.55), upright: steady(0.06), elbow: steady(0.05), tooNear: steady(0.05)},
		},
		{
			player: club.Player{Name: "Noor Castellan", Hand: club.RightHand, Group: "Friday",
				ConsentFrom: "2026-09-01", ConsentUntil: "2027-08-31", ConsentBy: "her guardian",
				Note: "Stands tall; works on a shorter backswing."},
			look:   Look{Height: 1.66, Skin: RGB{198, 148, 108}, Hair: RGB{60, 36, 28}, Shirt: RGB{92, 168, 110}, Short: RGB{36, 40, 52}, Shoes: RGB{240, 238, 230}, Trim: RGB{236, 240, 226}, Number: 4, Long: true},
			miss:   0.07,
			custom: custom{0.66, 18},
			tends:  map[way]tendency{upright: breaks(0.20, 0.34), bigSwing: improves(0.50, 0.14), late: steady(0.09), tooNear: steady(0.05)},
		},
		{
			player: club.Player{Name: "Davor Whitlam", Hand: club.RightHand, Group: "Friday",
				ConsentFrom: "2026-09-01", ConsentUntil: "2026-10-31", ConsentBy: "his mother",
				Note: "A little of everything; steady over the weeks."},
			look:   Look{Height: 1.68, Skin: RGB{236, 198, 170}, Hair: RGB{196, 160, 96}, Shirt: RGB{150, 96, 176}, Short: RGB{44, 44, 50}, Shoes: RGB{60, 90, 160}, Trim: RGB{70, 46, 110}, Cloth: Halves},
			miss:   0.08,
			custom: custom{0.52, 25},
			tends:  map[way]tendency{late: steady(0.22), tooNear: steady(0.18), elbow: steady(0.14), upright: steady(0.08), bigSwing: steady(0.06)},
		},
	}
}

// trainer is an invented coach, who also stands at the far end.
type trainer struct {
	coach club.Coach
	look  Look
}

func trainers() []trainer {
	return []trainer{
		{club.Coach{Name: "Mirela Adeyo"}, Look{Height: 1.68, Skin: RGB{160, 112, 80}, Hair: RGB{52, 40, 38}, Shirt: RGB{238, 238, 240}, Short: RGB{26, 42, 72}, Shoes: RGB{40, 44, 52}, Trim: RGB{60, 110, 170}, Cloth: Band, Long: true}},
		{club.Coach{Name: "Jon Farkasdal"}, Look{Height: 1.80, Skin: RGB{230, 190, 164}, Hair: RGB{132, 128, 124}, Shirt: RGB{70, 78, 92}, Short: RGB{24, 26, 32}, Shoes: RGB{214, 214, 210}, Trim: RGB{150, 158, 172}}},
	}
}

// acted says by which code of the starter catalogue each way of acting is
// marked.
func acted() map[string]way {
	return map[string]way{"CLOSE": tooNear, "ELBOW": elbow, "LATE": late, "UPRIGHT": upright, "BIGBACK": bigSwing}
}
