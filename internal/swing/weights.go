package swing

// What the sums weigh, fitted by BenchmarkRefit on drawn players of seeds 301 to 312.

// struck weighs what [Arm.ways] gives: ahead, up and the logarithm of the speed, each in
// six steps of 0.12 s; then the constant.
func struck() [19]float64 {
	return [...]float64{
		-0.0934, 0.257, 0.875, -0.231, 0.0745, 0.0332,
		0.602, 0.194, 0.0397, 0.832, -0.126, -0.439,
		0.537, -1.3, -0.434, 0.154, -0.281, 0.492,
		-1.67,
	}
}

// sided weighs what [Arm.places] gives: the wrist 0.12 s before, at and after the contact,
// the elbow likewise; then the constant.
func sided() [37]float64 {
	return [...]float64{
		1.74, 4.19, -0.637, -0.958, -1.3, 1.49,
		0.154, 1.15, 0.688, 1.93, -0.527, 0.251,
		-0.967, -3.14, -1.56, -1.26, 2.65, -0.732,
		-0.885, -0.438, -3.26, -8.26, 1.3, -1.19,
		0.0495, 0.264, 0.2, 0.902, 0.477, -0.0854,
		0.275, 0.146, 1.7, 4.19, -3.02, 0.227,
		1.02,
	}
}

// sideTemper is by how much the odds of a side are too low where left and right can be
// told from each other: the weights are fitted to players of whom that is not known. By
// the joints of the network on drawn clubs of seeds 601 and 602.
const sideTemper = 1.5
