package diff_test

// The targets that hold today, in one place: per cent of faultless cases, that
// is with every kind, edge, figure and run right and nothing invented, as the
// piece lies and scrambled. They are raised as the explanation gets better, and
// never lowered. What docs/accuracy.md calls the target is what they are to
// reach.
var targets = map[string][2]float64{
	"edge-moved shifted":           {97, 97},
	"edge-moved parallel":          {97, 91},
	"edge-moved parallel, hem":     {99, 92},
	"edge-moved tapered":           {99, 99},
	"edge-swung out":               {99, 99},
	"edge-swung in":                {97, 97},
	"edge-swung out, at corner":    {99, 99},
	"edge-swung in, at corner":     {99, 97},
	"edge-redrawn handles":         {99, 99},
	"edge-redrawn bulge":           {99, 99},
	"edge-redrawn path":            {99, 99},
	"edge-redrawn, end moved":      {99, 99},
	"corner-rounded":               {99, 99},
	"corner-restored":              {99, 99},
	"corner-rounded, other radius": {99, 99},
	"corner-rounded, as drawn":     {99, 99},
	"spread hinged":                {97, 94},
	"spread parallel":              {91, 91},
	"notch-moved":                  {99, 99},
	"notch-added":                  {99, 99},
	"notch-removed":                {99, 99},
	"mark-moved":                   {99, 99},
	"mark-added":                   {99, 99},
	"mark-removed":                 {99, 99},
	"mark-changed":                 {99, 99},
	"allowance-changed":            {99, 99},
	"grain-turned":                 {99, 99},
	"cutting-changed":              {99, 94},
	"renamed":                      {99, 99},
	"piece-split":                  {91, 79},
	"piece-joined":                 {89, 80},
	"piece-mirrored":               {99, 99},
	"piece-unfolded":               {99, 83},
	"2 changes":                    {97, 94},
	"3 changes":                    {97, 82},
}

// reached are today's shares in per cent for whole suites, and for pieces
// traced again what nine of ten figures stay within.
var reached = struct {
	exactKinds, exactAmounts, exactInvented, exactRuns [2]float64 // plain, scrambled
	same                                               map[string]float64
	inverse                                            float64
	retracedKinds, retracedPose, retracedInvented      map[string]float64
	retracedMM, retracedDegrees                        map[string]float64
}{
	exactKinds: [2]float64{99.5, 99}, exactAmounts: [2]float64{99.5, 99.5}, exactInvented: [2]float64{99, 97.5}, exactRuns: [2]float64{99.5, 99.5},
	same:             map[string]float64{"divided": 100, "moved": 100, "mirrored": 100},
	inverse:          97,
	retracedKinds:    map[string]float64{"independent": 97, "slowly varying": 93},
	retracedPose:     map[string]float64{"independent": 99, "slowly varying": 99},
	retracedInvented: map[string]float64{"independent": 96, "slowly varying": 92},
	retracedMM:       map[string]float64{"independent": 0.5, "slowly varying": 0.7},
	retracedDegrees:  map[string]float64{"independent": 0.2, "slowly varying": 0.5},
}
