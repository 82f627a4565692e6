#include "measure/angle_text.h"
