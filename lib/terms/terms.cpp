// The room holds declarations alone; this compiles them by themselves.
#include "terms/columns.h"
#include "terms/key.h"
