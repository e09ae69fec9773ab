package contact

// begun tells which of the sounds of play nearly always have another sharp sound just
// before them: that is where these contacts begin.
func begun(cs []candidate, beliefs []belief) (late [sounds]bool) {
	const share, enough = .7, 10
	var n, led [sounds]float64
	for i := range beliefs {
		if s := beliefs[i].most(); beliefs[i].contact() > .5 {
			n[s]++
			if beginning(cs, beliefs, i) < i {
				led[s]++
			}
		}
	}
	for s := range late {
		late[s] = n[s] >= enough && led[s] > share*n[s]
	}
	return late
}

// beginning is the first sharp sound of those that end in a contact, that itself if
// there is no other.
func beginning(cs []candidate, beliefs []belief, i int) int {
	const within = .04 // seconds
	first := i
	for j := i - 1; j >= 0 && cs[i].at-cs[j].at < within && beliefs[j].contact() <= .5; j-- {
		if cs[j].x[suddenness] >= sharp {
			first = j
		}
	}
	return first
}
