package air

// WetBulbImbalance lets the checks feed the wet-bulb equation with the ASHRAE
// saturation pressure.
var WetBulbImbalance = wetBulbImbalance
