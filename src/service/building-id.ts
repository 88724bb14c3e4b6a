/** An id that is to stand in a path: letters, digits and . _ ~ -, none of the paths `.` and `..`. */
export const BUILDING_ID = /^(?=.*[A-Za-z0-9])[A-Za-z0-9._~-]{1,128}$/;
