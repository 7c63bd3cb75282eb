package demo

// The homes that come up more than once, as a case file writes them.
const (
	bark12   = `pot = "12 cm", medium = { "medium bark" = 7, "medium perlite" = 2, charcoal = 1 }`
	bark10   = `pot = "10 cm", medium = { "medium bark" = 8, "medium perlite" = 2 }`
	bark15   = `pot = "15 cm", medium = { "coarse bark" = 7, pumice = 3 }`
	fine9    = `pot = "9 cm", medium = { "fine bark" = 6, "medium perlite" = 3, charcoal = 1 }`
	fine12   = `pot = "12 cm", medium = { "fine bark" = 6, "medium perlite" = 3, charcoal = 1 }`
	moss9    = `pot = "9 cm", medium = "sphagnum, loose"`
	moss12   = `pot = "12 cm", medium = "sphagnum, loose"`
	clay12   = `pot = "12 cm", material = "clay", medium = { "coarse bark" = 8, charcoal = 2 }`
	husk13   = `pot = "13 cm", medium = { "husk chips" = 7, "coarse perlite" = 3 }`
	cork     = `mount = { material = "cork", size = "18 x 10 cm", moss = "1 cm" }`
	corkBare = `mount = { material = "cork", size = "20 x 10 cm" }`
	fernSlab = `mount = { material = "tree fern", size = "20 x 12 cm" }`
)

var plants = []plant{
	{Label: "P-001", Name: "white hybrid, two spikes", Group: "Phalaenopsis", Space: "shelf", Leaves: 6, LeafLength: "24 cm", LeafWidth: "8 cm", DaysAgo: 3, Work: "repotted", RootsKept: "65 %", RootTips: 3, Soaked: "12 h", From: moss12, To: bark12},
	{Label: "P-002", Name: "striped hybrid", Group: "Phalaenopsis", Space: "shelf", Leaves: 5, LeafLength: "20 cm", LeafWidth: "7 cm", DaysAgo: 3, Work: "repotted", RootsKept: "55 %", Soaked: "12 h", Flowers: "in spike", From: moss9, To: bark10},
	{Label: "P-003", Name: "small yellow", Group: "Phalaenopsis", Space: "shelf", Leaves: 4, LeafLength: "14 cm", LeafWidth: "6 cm", Vigour: "weak", DaysAgo: 24, Work: "repotted", RootsKept: "30 %", RootTips: 1, From: moss9, To: moss9},
	{Label: "P-004", Name: "bellina type", Group: "Phalaenopsis bellina", Space: "shelf", Leaves: 4, LeafLength: "18 cm", LeafWidth: "9 cm", DaysAgo: 47, Work: "mounted", RootsKept: "70 %", RootTips: 2, From: moss12, To: cork},
	{Label: "P-005", Name: "rescued from a shop", Group: "Phalaenopsis", Space: "shelf", Leaves: 3, LeafLength: "16 cm", LeafWidth: "6 cm", Vigour: "rescue", DaysAgo: 12, Work: "repotted", RootsKept: "10 %", LeavesKept: "80 %", Pests: "mealybug", From: moss12, To: moss9},
	{Label: "C-001", Name: "lavender unifoliate", Group: "Cattleya", Space: "balcony", Leaves: 7, LeafLength: "22 cm", LeafWidth: "6 cm", Pseudobulbs: 7, DaysAgo: 10, Work: "divided", RootsKept: "50 %", LeavesKept: "90 %", RootTips: 4, Soaked: "24 h", From: bark15, To: clay12},
	{Label: "C-002", Name: "lavender unifoliate, back half", Group: "Cattleya", Space: "balcony", Leaves: 4, LeafLength: "20 cm", LeafWidth: "6 cm", Pseudobulbs: 4, Vigour: "weak", DaysAgo: 10, Work: "divided", RootsKept: "35 %", Soaked: "24 h", From: bark15, To: clay12},
	{Label: "C-003", Name: "yellow cluster hybrid", Group: "Cattleya", Space: "balcony", Leaves: 9, LeafLength: "18 cm", LeafWidth: "5 cm", Pseudobulbs: 9, Vigour: "strong", DaysAgo: 38, Work: "repotted", RootsKept: "75 %", RootTips: 6, From: bark12, To: bark12},
	{Label: "C-004", Name: "walkeriana type", Group: "Cattleya walkeriana", Space: "balcony", Leaves: 5, LeafLength: "9 cm", LeafWidth: "4 cm", Pseudobulbs: 6, DaysAgo: 66, Work: "mounted", RootsKept: "60 %", RootTips: 2, From: clay12, To: corkBare},
	{Label: "C-005", Name: "bifoliate, spotted", Group: "Cattleya bifoliate", Space: "balcony", Leaves: 8, LeafLength: "15 cm", LeafWidth: "5 cm", Pseudobulbs: 5, DaysAgo: 120, Work: "repotted", RootsKept: "55 %", RootTips: 3, From: bark12, To: clay12},
	{Label: "L-001", Name: "anceps, pale form", Group: "Laelia anceps", Space: "terrace", Leaves: 8, LeafLength: "17 cm", LeafWidth: "4 cm", Pseudobulbs: 9, DaysAgo: 52, Work: "mounted", RootsKept: "60 %", RootTips: 5, From: bark12, To: corkBare},
	{Label: "L-002", Name: "rupicolous, orange", Group: "rupicolous Laelia types (Cattleya sect. Parviflorae)", Space: "terrace", Leaves: 6, LeafLength: "8 cm", LeafWidth: "2 cm", Pseudobulbs: 6, DaysAgo: 31, Work: "repotted", RootsKept: "80 %", RootTips: 2, From: bark10, To: `pot = "8 cm", material = "clay", medium = { pumice = 6, "fine bark" = 2, "medium perlite" = 2 }`},
	{Label: "B-001", Name: "nodosa", Group: "Brassavola", Space: "balcony", Leaves: 12, LeafLength: "18 cm", LeafWidth: "1.5 cm", Pseudobulbs: 12, Vigour: "strong", DaysAgo: 17, Work: "mounted", RootsKept: "70 %", RootTips: 6, From: bark12, To: cork},
	{Label: "E-001", Name: "reed-stem, red", Group: "Epidendrum reed-stem", Space: "terrace", Leaves: 26, LeafLength: "9 cm", LeafWidth: "2.5 cm", DaysAgo: 8, Work: "divided", RootsKept: "60 %", RootTips: 8, From: bark15, To: fine12},
	{Label: "O-001", Name: "yellow dancing hybrid", Group: "Oncidium", Space: "balcony", Leaves: 9, LeafLength: "30 cm", LeafWidth: "3.5 cm", Pseudobulbs: 5, DaysAgo: 6, Work: "repotted", RootsKept: "55 %", RootTips: 5, Soaked: "12 h", From: fine12, To: fine12},
	{Label: "O-002", Name: "chocolate-scented hybrid", Group: "Oncidium", Space: "shelf", Leaves: 8, LeafLength: "26 cm", LeafWidth: "3 cm", Pseudobulbs: 4, DaysAgo: 20, Work: "divided", RootsKept: "45 %", RootTips: 2, Pests: "soft scale", From: fine12, To: fine9},
	{Label: "O-003", Name: "mule ear", Group: "Trichocentrum", Space: "balcony", Leaves: 4, LeafLength: "28 cm", LeafWidth: "7 cm", Pseudobulbs: 4, DaysAgo: 73, Work: "mounted", RootsKept: "65 %", RootTips: 3, From: clay12, To: corkBare},
	{Label: "T-001", Name: "equitant, pink", Group: "Tolumnia", Space: "shelf", Leaves: 8, LeafLength: "7 cm", LeafWidth: "1.2 cm", DaysAgo: 29, Work: "mounted", RootsKept: "70 %", RootTips: 4, From: fine9, To: corkBare},
	{Label: "I-001", Name: "spider, green", Group: "Brassia", Space: "balcony", Leaves: 8, LeafLength: "32 cm", LeafWidth: "4 cm", Pseudobulbs: 6, DaysAgo: 41, Work: "repotted", RootsKept: "60 %", RootTips: 4, From: bark12, To: bark12},
	{Label: "M-001", Name: "pansy, white", Group: "Miltoniopsis", Space: "shelf", Leaves: 10, LeafLength: "24 cm", LeafWidth: "2.5 cm", Pseudobulbs: 5, DaysAgo: 15, Work: "repotted", RootsKept: "70 %", RootTips: 3, From: fine9, To: `pot = "9 cm", medium = { "fine bark" = 5, "sphagnum, loose" = 3, "medium perlite" = 2 }`, RoutineStrength: "0.4 g/L", RoutineWaters: "reverse osmosis"},
	{Label: "D-001", Name: "bigibbum hybrid", Group: "Dendrobium bigibbum", Space: "balcony", Leaves: 12, LeafLength: "13 cm", LeafWidth: "3.5 cm", Pseudobulbs: 6, DaysAgo: 27, Work: "repotted", RootsKept: "60 %", RootTips: 5, From: bark10, To: bark10},
	{Label: "D-002", Name: "nobile type", Group: "Dendrobium nobile", Space: "terrace", Leaves: 20, LeafLength: "10 cm", LeafWidth: "2.5 cm", Pseudobulbs: 7, DaysAgo: 58, Work: "divided", RootsKept: "55 %", RootTips: 6, From: fine12, To: fine9},
	{Label: "D-003", Name: "kingianum, white", Group: "Dendrobium kingianum", Space: "terrace", Leaves: 30, LeafLength: "8 cm", LeafWidth: "2 cm", Pseudobulbs: 14, Vigour: "strong", DaysAgo: 90, Work: "divided", RootsKept: "65 %", RootTips: 9, From: bark12, To: bark10},
	{Label: "D-004", Name: "speciosum seedling", Group: "Dendrobium kingianum", Space: "terrace", Leaves: 6, LeafLength: "14 cm", LeafWidth: "5 cm", Pseudobulbs: 4, DaysAgo: 210, Work: "repotted", RootsKept: "70 %", From: bark10, To: bark15},
	{Label: "Y-001", Name: "standard, green", Group: "Cymbidium standard", Space: "terrace", Leaves: 24, LeafLength: "60 cm", LeafWidth: "3 cm", Pseudobulbs: 6, DaysAgo: 33, Work: "divided", RootsKept: "45 %", LeavesKept: "85 %", RootTips: 5, From: `pot = "20 cm", medium = "fine bark"`, To: `pot = "20 cm", medium = { "medium bark" = 8, "coarse perlite" = 2 }`},
	{Label: "Y-002", Name: "miniature, brown", Group: "Cymbidium miniature", Space: "terrace", Leaves: 18, LeafLength: "35 cm", LeafWidth: "2 cm", Pseudobulbs: 5, DaysAgo: 33, Work: "repotted", RootsKept: "65 %", RootTips: 4, From: fine12, To: `pot = "15 cm", medium = { "medium bark" = 8, "coarse perlite" = 2 }`},
	{Label: "S-001", Name: "mottled slipper", Group: "Paphiopedilum Maudiae", Space: "shelf", Leaves: 7, LeafLength: "14 cm", LeafWidth: "4 cm", DaysAgo: 5, Work: "repotted", RootsKept: "75 %", RootTips: 3, From: fine9, To: fine9, RoutineStrength: "0.5 g/L", RoutineWaters: "reverse osmosis"},
	{Label: "S-002", Name: "complex slipper", Group: "Paphiopedilum complex", Space: "shelf", Leaves: 9, LeafLength: "24 cm", LeafWidth: "4 cm", DaysAgo: 44, Work: "divided", RootsKept: "60 %", RootTips: 2, From: fine12, To: fine9},
	{Label: "S-003", Name: "multifloral slipper", Group: "Paphiopedilum multifloral", Space: "balcony", Leaves: 6, LeafLength: "40 cm", LeafWidth: "5 cm", DaysAgo: 150, Work: "repotted", RootsKept: "70 %", RootTips: 1, From: fine12, To: bark12},
	{Label: "S-004", Name: "red long-stemmed slipper", Group: "Phragmipedium besseae", Space: "shelf", Leaves: 8, LeafLength: "26 cm", LeafWidth: "3 cm", DaysAgo: 18, Work: "repotted", RootsKept: "70 %", RootTips: 4, From: fine12, To: `pot = "12 cm", medium = { "fine bark" = 5, "sphagnum, loose" = 3, "medium perlite" = 2 }`},
	{Label: "V-001", Name: "blue strap-leaf", Group: "Vanda", Space: "balcony", Leaves: 14, LeafLength: "28 cm", LeafWidth: "3 cm", DaysAgo: 22, Work: "repotted", RootsKept: "80 %", RootTips: 5, From: `pot = "12 cm", material = "slatted basket", medium = "charcoal"`, To: `pot = "15 cm", material = "slatted basket", medium = "charcoal"`},
	{Label: "V-002", Name: "wind orchid", Group: "Vanda falcata", Space: "shelf", Leaves: 12, LeafLength: "7 cm", LeafWidth: "0.8 cm", DaysAgo: 80, Work: "repotted", RootsKept: "75 %", RootTips: 3, From: moss9, To: moss9},
	{Label: "A-001", Name: "star, white", Group: "Angraecum sesquipedale", Space: "balcony", Leaves: 10, LeafLength: "25 cm", LeafWidth: "4 cm", DaysAgo: 100, Work: "repotted", RootsKept: "60 %", RootTips: 1, From: bark15, To: bark15},
	{Label: "R-001", Name: "fitzgeraldii hybrid", Group: "Sarcochilus", Space: "terrace", Leaves: 14, LeafLength: "13 cm", LeafWidth: "1.8 cm", DaysAgo: 13, Work: "repotted", RootsKept: "75 %", RootTips: 6, From: bark10, To: `pot = "10 cm", medium = { "medium bark" = 6, "medium perlite" = 4 }`},
	{Label: "R-002", Name: "hartmannii division", Group: "Sarcochilus", Space: "terrace", Leaves: 9, LeafLength: "15 cm", LeafWidth: "2 cm", DaysAgo: 13, Work: "divided", RootsKept: "50 %", RootTips: 2, From: bark10, To: `pot = "8 cm", medium = { "medium bark" = 6, "medium perlite" = 4 }`},
	{Label: "Z-001", Name: "scented, purple lip", Group: "Zygopetalum", Space: "terrace", Leaves: 10, LeafLength: "35 cm", LeafWidth: "4 cm", Pseudobulbs: 5, DaysAgo: 26, Work: "repotted", RootsKept: "55 %", RootTips: 4, From: fine12, To: husk13},
	{Label: "G-001", Name: "cristata", Group: "Coelogyne cristata", Space: "terrace", Leaves: 16, LeafLength: "18 cm", LeafWidth: "2.5 cm", Pseudobulbs: 9, DaysAgo: 60, Work: "divided", RootsKept: "50 %", RootTips: 3, From: fine12, To: `pot = "13 cm", medium = { "medium bark" = 6, "sphagnum, loose" = 4 }`},
	{Label: "K-001", Name: "veitchiana type", Group: "Masdevallia", Space: "shelf", Leaves: 22, LeafLength: "12 cm", LeafWidth: "2 cm", DaysAgo: 35, Work: "divided", RootsKept: "65 %", RootTips: 5, From: moss9, To: moss9, RoutineStrength: "0.3 g/L", RoutineWaters: "reverse osmosis"},
	{Label: "U-001", Name: "fallax type on fern", Group: "Bulbophyllum", Space: "shelf", Leaves: 7, LeafLength: "12 cm", LeafWidth: "3 cm", Pseudobulbs: 7, DaysAgo: 9, Work: "mounted", RootsKept: "55 %", RootTips: 3, From: moss9, To: fernSlab},
	{Label: "Q-001", Name: "green-winged, warm", Group: "Catasetum", Space: "balcony", Leaves: 6, LeafLength: "28 cm", LeafWidth: "6 cm", Pseudobulbs: 4, DaysAgo: 48, Work: "repotted", RootsKept: "40 %", RootTips: 6, From: `pot = "12 cm", medium = "sphagnum, loose"`, To: moss12},
}
