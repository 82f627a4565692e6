#pragma once
/// A survey that agrees to the last digit: three control points, four ties, one setup.

#include "job_folder.h"

namespace deckmark_test {

inline void put_plain_survey(JobFolder& job) {
  job.write("control.csv",
            "point,northing,easting,elevation\nCP1,5427900,1748100,10\nCP2,5427920,1748100,10\n"
            "CP3,5427900,1748130,10\n");
  job.write("ties.csv",
            "mark,x,y,northing,easting\nB1,0,0,5427900,1748100\nB2,30,0,5427900,1748130\n"
            "B3,0,20,5427920,1748100\nB4,30,20,5427920,1748130\n");
  job.write("s1.csv",
            "target,circle,zenith,slope,height\nCP2,0-00-00,90-00-00,20,1.5\nCP3,90-00-00,90-00-00,30,1.5\n");
}

}  // namespace deckmark_test
